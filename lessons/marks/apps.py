from django.apps import AppConfig


class MarksConfig(AppConfig):
    name = "lessons.marks"
    label = "marks"

    def ready(self) -> None:
        from lessons.visits import desk

        desk.needs(
            styles=("marks/still.css", "marks/page.css", "marks/board.css"),
            scripts=("marks/board.js",),
        )
