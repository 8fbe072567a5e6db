from django.apps import AppConfig

from lessons.students.slots import READ_PRACTICE, STUDENT_PAGE


class PracticeConfig(AppConfig):
    name = "lessons.practice"
    label = "practice"

    def ready(self) -> None:
        # Reads models, which exist only once every app is loaded
        from lessons.practice.calendar import calendar_part
        from lessons.practice.pages import read_practice, student_practice
        from lessons.practice.reminding import KIND
        from portal.accounts.models import User
        from portal.accounts.parts import PROFILE_PARTS
        from portal.notices.kinds import register_kind

        register_kind(
            KIND,
            "Time to practise",
            "At the time you chose on the Today page, if there is something left to do.",
            roles=[User.Role.STUDENT, User.Role.GUARDIAN],
        )
        PROFILE_PARTS.append(calendar_part)
        READ_PRACTICE.fill("practice/_read.html", read_practice)
        STUDENT_PAGE.fill("practice/_history.html", student_practice, order=50)
