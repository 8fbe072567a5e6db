"""Loading what the signed-in person may see; 404 for all else."""

from __future__ import annotations

from django.http import Http404, HttpRequest
from django.shortcuts import get_object_or_404

from lessons.students.inviting import KINDS, Person
from lessons.students.models import Guardian, Student


def coach_only(request: HttpRequest) -> None:
    """404 for anybody but a coach."""
    if not request.user.is_coach:
        raise Http404


def student_of_coach(request: HttpRequest, pk: int) -> Student:
    coach_only(request)
    students = Student.objects.visible_to(request.user).select_related("user", "coach")
    return get_object_or_404(students, pk=pk)


def guardian_of_coach(request: HttpRequest, pk: int) -> Guardian:
    coach_only(request)
    guardians = Guardian.objects.visible_to(request.user).select_related("student__coach", "user")
    return get_object_or_404(guardians, pk=pk)


def person_of_coach(request: HttpRequest, kind: str, pk: int) -> Person:
    """A student or a guardian, by the kind that the address names."""
    coach_only(request)
    return get_object_or_404(KINDS[kind].objects.visible_to(request.user), pk=pk)


def home_of(person: Person) -> int:
    """The primary key of the student on whose page the person stands."""
    return person.pk if isinstance(person, Student) else person.student_id
