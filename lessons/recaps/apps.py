from django.apps import AppConfig


class RecapsConfig(AppConfig):
    name = "lessons.recaps"
    label = "recaps"
