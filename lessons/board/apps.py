from django.apps import AppConfig


class BoardConfig(AppConfig):
    name = "lessons.board"
    label = "board"

    def ready(self) -> None:
        # Models exist only now
        from lessons.board.pages import student_board
        from lessons.students.slots import STUDENT_PAGE
        from portal.accounts.models import User
        from portal.notices.kinds import register_kind

        STUDENT_PAGE.fill("board/_student.html", student_board)
        register_kind(
            "nudge",
            "A nudge from your coach",
            "A short word between lessons.",
            roles=[User.Role.STUDENT, User.Role.GUARDIAN],
        )
