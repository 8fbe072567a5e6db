"""visits:edit, the date, theme and next visit of a lesson."""

from __future__ import annotations

from django.test import Client
from django.urls import reverse

from lessons.visits.models import Lesson

FIELDS = {"date": "2026-05-30", "theme": "Low point", "next_visit": "2026-06-27"}


def address(lesson: Lesson) -> str:
    return reverse("visits:edit", args=[lesson.pk])


def test_it_changes_the_lesson(as_coach: Client, lesson: Lesson):
    answer = as_coach.post(address(lesson), FIELDS)
    lesson.refresh_from_db()
    assert (lesson.theme, lesson.date.isoformat(), lesson.number) == ("Low point", "2026-05-30", 1)
    assert answer["Location"] == reverse("visits:desk", args=[lesson.pk])


def test_it_shows_what_is_there(as_coach: Client, lesson: Lesson):
    page = as_coach.get(address(lesson)).content.decode()
    assert lesson.theme in page
    assert f'value="{lesson.date}"' in page


def test_it_says_that_a_posted_lesson_changes_for_the_student(
    as_coach: Client, posted_lesson: Lesson
):
    assert "This lesson is posted." in as_coach.get(address(posted_lesson)).content.decode()


def test_it_refuses_a_next_visit_before_the_lesson(as_coach: Client, lesson: Lesson):
    answer = as_coach.post(address(lesson), {**FIELDS, "next_visit": "2026-01-01"})
    assert answer.status_code == 422
    assert "must be after the lesson" in answer.content.decode()
    lesson.refresh_from_db()
    assert lesson.theme != "Low point"


def test_it_refuses_another_coach(as_other_coach: Client, lesson: Lesson):
    assert as_other_coach.get(address(lesson)).status_code == 404
    assert as_other_coach.post(address(lesson), FIELDS).status_code == 404


def test_it_refuses_the_student_of_a_posted_lesson(as_student: Client, posted_lesson: Lesson):
    assert as_student.get(address(posted_lesson)).status_code == 404


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, lesson: Lesson):
    assert as_nobody.get(address(lesson)).status_code == 302


def test_it_refuses_another_method(as_coach: Client, lesson: Lesson):
    assert as_coach.put(address(lesson)).status_code == 405
