from django.apps import AppConfig


class BoardConfig(AppConfig):
    name = "lessons.board"
    label = "board"

    def ready(self) -> None:
        # Models exist only now
        from portal.accounts.models import User
        from portal.notices.kinds import register_kind

        register_kind(
            "nudge",
            "A nudge from your coach",
            "A short word between lessons.",
            roles=[User.Role.STUDENT, User.Role.GUARDIAN],
        )
