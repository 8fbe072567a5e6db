from django.apps import AppConfig


class BoardConfig(AppConfig):
    name = "lessons.board"
    label = "board"
