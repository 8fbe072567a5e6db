from django.apps import AppConfig

from lessons.students.slots import READ_AFTER, STUDENT_PAGE


class ProgrammesConfig(AppConfig):
    name = "lessons.programmes"
    label = "programmes"

    def ready(self) -> None:
        # Reads models, which exist only once every app is loaded
        from lessons.programmes.pages import read_programme, student_programmes

        READ_AFTER.fill("programmes/_read.html", read_programme, order=90)
        STUDENT_PAGE.fill("programmes/_student.html", student_programmes, order=10)
