"""visits:add, a new lesson of a student."""

from __future__ import annotations

import datetime
import threading

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.students.models import Student
from lessons.visits.models import Lesson
from lessons.visits.service import add_lesson
from tests import factories


def address(student: Student) -> str:
    return reverse("visits:add", args=[student.pk])


FIELDS = {"date": "2026-05-30", "theme": "Tempo", "next_visit": "2026-06-27"}


def test_it_starts_a_lesson_and_leads_to_its_desk(as_coach: Client, student: Student):
    answer = as_coach.post(address(student), FIELDS)
    lesson = Lesson.objects.get()
    assert (lesson.number, lesson.theme, lesson.date.isoformat()) == (1, "Tempo", "2026-05-30")
    assert answer["Location"] == reverse("visits:desk", args=[lesson.pk])


def test_it_counts_per_student(as_coach: Client, student: Student, other_student: Student):
    for of in (student, other_student, student):
        as_coach.post(address(of), FIELDS)
    assert [x.number for x in student.lessons.order_by("number")] == [1, 2]
    assert [x.number for x in other_student.lessons.all()] == [1]


def test_it_begins_with_today_and_the_gap_of_the_last_lesson(as_coach: Client, student: Student):
    today = timezone.localdate()
    page = as_coach.get(address(student)).content.decode()
    assert f'value="{today}"' in page
    assert f'value="{today + datetime.timedelta(days=28)}"' in page
    week = datetime.timedelta(days=7)
    factories.LessonFactory(student=student, date=today - week, next_visit=today + week)
    page = as_coach.get(address(student)).content.decode()
    assert f'value="{today + 2 * week}"' in page


def test_the_theme_and_the_next_visit_may_be_left_open(as_coach: Client, student: Student):
    as_coach.post(address(student), {"date": "2026-05-30"})
    lesson = Lesson.objects.get()
    assert (lesson.theme, lesson.next_visit) == ("", None)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"date": ""}, "Say on which day the lesson was."),
        ({"date": "30 May"}, "This is no date."),
        ({"next_visit": "soon"}, "This is no date."),
        ({"next_visit": "2026-05-30"}, "must be after the lesson on 30 May 2026"),
        ({"next_visit": "2026-05-29"}, "must be after the lesson on 30 May 2026"),
        ({"next_visit": "2036-05-30"}, "more than two years after the lesson"),
        ({"date": "2062-05-30", "next_visit": ""}, "more than two years ahead"),
        ({"date": "1926-05-30"}, "more than 50 years ago"),
        ({"theme": "x" * 121}, "Shorten the theme to 120 letters; it has 121."),
    ],
)
def test_it_says_what_is_wrong_and_keeps_what_was_typed(
    as_coach: Client, student: Student, change: dict[str, str], sentence: str
):
    answer = as_coach.post(address(student), {**FIELDS, **change})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert (change.get("theme") or "Tempo") in page
    assert not Lesson.objects.exists()


def test_it_shows_the_students_cautions(as_coach: Client, student: Student):
    Student.objects.filter(pk=student.pk).update(cautions="Shoulder operation last year")
    assert "Shoulder operation last year" in as_coach.get(address(student)).content.decode()


def test_it_refuses_another_coach(as_other_coach: Client, student: Student):
    assert as_other_coach.get(address(student)).status_code == 404
    assert as_other_coach.post(address(student), FIELDS).status_code == 404


def test_it_refuses_the_student(as_student: Client, student: Student):
    assert as_student.post(address(student), FIELDS).status_code == 404


def test_it_refuses_an_archived_student(as_coach: Client, student: Student):
    Student.objects.filter(pk=student.pk).update(archived_at=timezone.now())
    assert as_coach.get(address(student)).status_code == 404


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, student: Student):
    assert as_nobody.get(address(student)).status_code == 302


def test_it_refuses_another_method(as_coach: Client, student: Student):
    assert as_coach.delete(address(student)).status_code == 405


@pytest.mark.django_db(transaction=True)
def test_two_at_once_get_two_numbers(coach):
    student = factories.StudentFactory(coach=coach)
    start = threading.Barrier(2)
    troubles: list[Exception] = []

    def add() -> None:
        try:
            start.wait()
            add_lesson(student, date=datetime.date(2026, 5, 30), theme="", next_visit=None)
        except Exception as error:  # noqa: BLE001 - told to the test below
            troubles.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=add) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not troubles
    assert sorted(student.lessons.values_list("number", flat=True)) == [1, 2]
