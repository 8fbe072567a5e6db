from django.apps import AppConfig


class PracticeConfig(AppConfig):
    name = "lessons.practice"
    label = "practice"
