"""What other pages show of a programme."""

from __future__ import annotations

from django.http import HttpRequest

from lessons.programmes.models import Programme
from lessons.students.models import Student
from lessons.visits.models import Lesson


def student_programmes(request: HttpRequest, student: Student) -> dict[str, object]:
    """Fills "student.page" of the coach's page about one student."""
    return {"programmes": list(Programme.objects.led_by(request.user).filter(student=student))}


def read_programme(request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """Fills "read.after" of the student's lesson page: the programme this lesson belongs to."""
    theirs = Programme.objects.visible_to(request.user).filter(student=lesson.student)
    for programme in theirs.filter(begins_on__lte=lesson.date):
        numbers = list(programme.lessons().values_list("pk", flat=True))
        if lesson.pk in numbers:
            return {"programme": programme, "place": numbers.index(lesson.pk) + 1}
    return {"programme": None}
