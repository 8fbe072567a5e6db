from django.apps import AppConfig


class MarksConfig(AppConfig):
    name = "lessons.marks"
    label = "marks"
