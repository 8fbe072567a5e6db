from django.apps import AppConfig


class StudentsConfig(AppConfig):
    name = "lessons.students"
    label = "students"

    def ready(self) -> None:
        from lessons.students import inviting  # noqa: F401 - connects its receiver
        from lessons.students.wards import wards_part
        from portal.accounts.parts import PROFILE_PARTS

        PROFILE_PARTS.append(wards_part)
