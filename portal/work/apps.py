from django.apps import AppConfig


class WorkConfig(AppConfig):
    name = "portal.work"
    label = "work"
