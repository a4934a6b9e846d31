from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "fruitbody.desk.people"
    label = "people"
    verbose_name = "People and the clinic"
