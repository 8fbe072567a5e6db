from django.apps import AppConfig


class RecapsConfig(AppConfig):
    name = "lessons.recaps"
    label = "recaps"

    def ready(self) -> None:
        # Models exist only now
        from lessons.clips.uses import USED_BY
        from lessons.recaps import desk, history, uses
        from lessons.students.slots import DESK_PAGE, DESK_STILL, STUDENT_PAGE
        from lessons.visits.desk import needs
        from portal.accounts.models import User
        from portal.notices.kinds import register_kind

        register_kind(
            "recap",
            "A lesson is written up",
            "The recap of a lesson, and changes to it.",
            roles=[User.Role.STUDENT, User.Role.GUARDIAN],
        )
        DESK_PAGE.fill("recaps/_editor.html", desk.editor_context)
        DESK_STILL.fill("recaps/_put_still.html", desk.still_context)
        USED_BY.append(uses.uses)
        STUDENT_PAGE.fill("recaps/_history.html", history.student_history, order=40)
        needs(styles=("recaps/editor.css", "recaps/rows.css"), scripts=("recaps/editor.js",))
