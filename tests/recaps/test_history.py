"""Main points and findings over the lessons, on the coach's page about a student."""

from __future__ import annotations

import datetime

import pytest
from django.urls import reverse

from lessons.recaps.carrying import recap_of
from lessons.recaps.history import courses
from lessons.recaps.models import Finding
from tests import factories


@pytest.fixture
def lessons(student):
    """Three lessons a month apart."""
    first = datetime.date(2026, 3, 1)
    return [
        factories.LessonFactory(student=student, date=first + datetime.timedelta(days=30 * n))
        for n in range(3)
    ]


def test_a_finding_is_followed_over_the_lessons(lessons, student):
    factories.FindingFactory(recap=recap_of(lessons[0]), what="Slides")
    carried = recap_of(lessons[1]).findings.get()
    Finding.objects.filter(pk=carried.pk).update(standing=Finding.Standing.BETTER)
    carried = recap_of(lessons[2]).findings.get()
    Finding.objects.filter(pk=carried.pk).update(what="Slides a little")
    (course,) = courses(student)
    assert course.newest.what == "Slides a little"
    assert [f.standing for f in course.findings] == ["new", "better", "better"]
    assert course.is_open


def test_what_is_open_comes_first_then_the_newest(lessons, student):
    first, second, third = (factories.RecapFactory(lesson=lesson) for lesson in lessons)
    holding = Finding.Standing.HOLDING
    factories.FindingFactory(recap=first, what="Old and open")
    factories.FindingFactory(recap=second, what="New and open")
    factories.FindingFactory(recap=third, what="Holds", standing=holding)
    names = [course.newest.what for course in courses(student)]
    assert names == ["New and open", "Old and open", "Holds"]


def test_the_students_page_shows_them(as_coach, lessons, student, other_student):
    recap = factories.RecapFactory(lesson=lessons[0], main_point="Keep the head still")
    factories.FindingFactory(recap=recap, what="Slides")
    foreign = factories.RecapFactory(lesson__student=other_student, main_point="Not theirs")
    factories.FindingFactory(recap=foreign, what="Not theirs either")
    page = as_coach.get(reverse("students:student", args=[student.pk])).content.decode()
    assert "Keep the head still" in page
    assert "Slides" in page
    assert "Not theirs" not in page
