from django.apps import AppConfig


class DrillsConfig(AppConfig):
    name = "lessons.drills"
    label = "drills"
