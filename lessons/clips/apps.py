from django.apps import AppConfig


class ClipsConfig(AppConfig):
    name = "lessons.clips"
    label = "clips"
