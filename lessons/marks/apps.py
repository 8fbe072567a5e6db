from django.apps import AppConfig


class MarksConfig(AppConfig):
    name = "lessons.marks"
    label = "marks"

    def ready(self) -> None:
        # Models exist only now
        from lessons.marks import comparing
        from lessons.students.slots import DESK_PAGE, READ_AFTER
        from lessons.visits import desk

        DESK_PAGE.fill("marks/_measures_link.html", comparing.link_context, order=20)
        READ_AFTER.fill("marks/_read_measures.html", comparing.read_context, order=-10)

        desk.needs(
            styles=(
                "marks/still.css",
                "marks/page.css",
                "marks/tools.css",
                "marks/board.css",
                "marks/measures.css",
            ),
            scripts=("marks/board.js",),
        )
