from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "fruitbody.desk.reports"
    label = "reports"
    verbose_name = "Reports"
