from django.apps import AppConfig


class RecordsConfig(AppConfig):
    name = "fruitbody.desk.records"
    label = "records"
    verbose_name = "Records"
