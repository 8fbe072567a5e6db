"""Who decides for a junior whether notices come to them; registered with portal.notices."""

from __future__ import annotations

from lessons.students.models import Student
from portal.accounts.models import User


def guardians_deciding(user: User) -> list[User] | None:
    """The guardians of a junior who can sign in; None for anybody who is not a junior."""
    student = Student.objects.juniors().filter(user=user).first()
    if student is None:
        return None
    guardians = student.guardians.filter(user__isnull=False).select_related("user")
    return [guardian.user for guardian in guardians]


def juniors_of(user: User) -> list[User]:
    """The wards of a guardian who are under 18 and sign in themselves."""
    if user.role != User.Role.GUARDIAN:
        return []
    wards = Student.objects.visible_to(user).filter(user__isnull=False).select_related("user")
    return [student.user for student in wards]
