from django.apps import AppConfig


class BenchConfig(AppConfig):
    name = "fruitbody.desk.bench"
    label = "bench"
    verbose_name = "The bench"
