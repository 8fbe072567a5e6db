from django.apps import AppConfig


class VisitsConfig(AppConfig):
    name = "lessons.visits"
    label = "visits"
