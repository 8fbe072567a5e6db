from django.apps import AppConfig


class StudentsConfig(AppConfig):
    name = "lessons.students"
    label = "students"
