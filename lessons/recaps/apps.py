from django.apps import AppConfig


class RecapsConfig(AppConfig):
    name = "lessons.recaps"
    label = "recaps"

    def ready(self) -> None:
        # Models exist only now
        from lessons.recaps import desk
        from lessons.students.slots import DESK_PAGE, DESK_STILL
        from lessons.visits.desk import needs

        DESK_PAGE.fill("recaps/_editor.html", desk.editor_context)
        DESK_STILL.fill("recaps/_put_still.html", desk.still_context)
        needs(styles=("recaps/editor.css",), scripts=("recaps/editor.js",))
