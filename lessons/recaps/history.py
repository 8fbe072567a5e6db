"""What was found in a student over the lessons, and how each of it stood."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest

from lessons.recaps.models import Finding, Recap
from lessons.students.models import Student


@dataclass(frozen=True)
class Course:
    """One finding over the lessons, oldest first; its words are the newest."""

    findings: list[Finding]

    @property
    def newest(self) -> Finding:
        return self.findings[-1]

    @property
    def is_open(self) -> bool:
        return self.newest.standing != Finding.Standing.HOLDING


def courses(student: Student) -> list[Course]:
    """The student's findings, those of one origin together; open ones first, then the newest."""
    lessons = student.lessons.order_by("date", "number")
    age = {lesson.pk: place for place, lesson in enumerate(lessons)}
    findings = Finding.objects.filter(recap__lesson__in=age).exclude(what="")
    origin: dict[int, int] = {}
    together: dict[int, list[Finding]] = {}
    related = findings.select_related("recap__lesson")
    for finding in sorted(related, key=lambda f: (age[f.recap.lesson_id], f.order)):
        root = origin.get(finding.came_from_id or 0, finding.pk)
        origin[finding.pk] = root
        together.setdefault(root, []).append(finding)
    made = [Course(entries) for entries in together.values()]
    made.sort(key=lambda c: age[c.newest.recap.lesson_id], reverse=True)
    return sorted(made, key=lambda c: not c.is_open)


def student_history(request: HttpRequest, student: Student) -> dict[str, object]:
    """For the coach's page about a student."""
    recaps = Recap.objects.filter(lesson__student=student).exclude(main_point="")
    newest_first = recaps.select_related("lesson").order_by("-lesson__date", "-lesson__number")
    return {"recaps": newest_first, "courses": courses(student)}
