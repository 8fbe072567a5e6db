from django.apps import AppConfig


class StudentsConfig(AppConfig):
    name = "lessons.students"
    label = "students"

    def ready(self) -> None:
        from lessons.students import inviting  # noqa: F401 - connects its receiver
        from lessons.students.juniors import guardians_deciding, juniors_of
        from lessons.students.wards import wards_part
        from portal.accounts.models import User
        from portal.accounts.parts import PROFILE_PARTS
        from portal.notices.kinds import register_kind
        from portal.notices.minding import MINDERS, WARDS

        PROFILE_PARTS.append(wards_part)
        MINDERS.append(guardians_deciding)
        WARDS.append(juniors_of)
        register_kind(
            "consent",
            "A guardian decides",
            "A consent to film is given or withdrawn. Always by letter.",
            roles=[User.Role.COACH],
            always_by_letter=True,
        )
