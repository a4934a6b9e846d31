from django.apps import AppConfig


class SubmissionsConfig(AppConfig):
    name = "fruitbody.desk.submissions"
    label = "submissions"
    verbose_name = "Submissions"
