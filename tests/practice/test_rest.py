"""'I am hurt or resting until ...', 'I am back', and the minutes there are."""

from __future__ import annotations

import datetime
import re

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.practice.models import PracticeTime, Rest
from lessons.practice.records import pauses_of
from lessons.practice.share import Pause
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User
from tests import factories

NOON = datetime.datetime(2025, 5, 9, 12, tzinfo=datetime.UTC)
TODAY = datetime.date(2025, 5, 9)


def may(day: int) -> datetime.date:
    return datetime.date(2025, 5, day)


@pytest.fixture
def drills(student: Student) -> Lesson:
    lesson = factories.LessonFactory(student=student, date=may(1), posted_at=NOON)
    factories.AssignmentFactory(lesson=lesson)
    return lesson


def send(client: Client, name: str, student: Student, **data: object):
    return client.post(reverse(f"practice:{name}", args=[student.pk]), data)


@time_machine.travel(NOON)
def test_rest_begins_today_and_ends_with_the_day_said(
    as_student: Client, student: Student, drills: Lesson
):
    answer = send(as_student, "rest", student, why="hurt", until="2025-05-16")
    assert answer.status_code == 302
    rest = Rest.objects.get()
    assert (rest.first, rest.last, rest.is_hurt, rest.by) == (TODAY, may(16), True, student.user)
    assert pauses_of([student]) == {student.pk: [Pause(TODAY, may(16))]}


@time_machine.travel(NOON)
def test_said_again_the_latest_word_stands(as_student: Client, student: Student, drills: Lesson):
    send(as_student, "rest", student, why="hurt", until="2025-05-16")
    send(as_student, "rest", student, why="resting", until="2025-05-12")
    rest = Rest.objects.get()
    assert (rest.last, rest.is_hurt) == (may(12), False)


def test_back_today_ends_it_yesterday(as_student: Client, student: Student, drills: Lesson):
    Rest.objects.create(student=student, why="hurt", first=may(5), last=may(16))
    with time_machine.travel(NOON):
        for _ in range(2):
            assert send(as_student, "back", student).status_code == 302
    assert Rest.objects.get().last == may(8)


@time_machine.travel(NOON)
def test_rest_taken_back_on_its_first_day_leaves_no_day(
    as_student: Client, student: Student, drills: Lesson
):
    send(as_student, "rest", student, why="resting", until="2025-05-16")
    send(as_student, "back", student)
    assert not Rest.objects.standing().exists()
    assert pauses_of([student])[student.pk] == []


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"why": "hurt", "until": "2025-05-08"}, "That day is over"),
        ({"why": "hurt", "until": "2030-01-01"}, "more than a year away"),
        ({"why": "hurt", "until": ""}, "Say until which day"),
        ({"until": "2025-05-12"}, "Say whether you are hurt or resting"),
    ],
)
@time_machine.travel(NOON)
def test_what_cant_be_is_said_at_its_place(
    as_student: Client, student: Student, drills: Lesson, data: dict[str, str], words: str
):
    answer = send(as_student, "rest", student, **data)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Rest.objects.exists()


@time_machine.travel(NOON)
def test_minutes_are_kept_and_changed(as_student: Client, student: Student, drills: Lesson):
    send(as_student, "minutes", student, minutes=30)
    send(as_student, "minutes", student, minutes=15)
    assert PracticeTime.objects.get().minutes == 15


@pytest.mark.parametrize(
    ("minutes", "words"),
    [("", "Say how many"), ("3", "5 minutes or more"), ("999", "or less"), ("x", "whole number")],
)
@time_machine.travel(NOON)
def test_wrong_minutes_are_told(
    as_student: Client, student: Student, drills: Lesson, minutes: str, words: str
):
    answer = send(as_student, "minutes", student, minutes=minutes)
    assert answer.status_code == 422
    assert words in answer.content.decode()


@pytest.mark.parametrize("name", ["rest", "back", "minutes"])
def test_only_the_student_and_their_guardian_say_it(
    name: str,
    student: Student,
    as_other_student: Client,
    as_coach: Client,
    as_other_coach: Client,
    as_nobody: Client,
    as_student: Client,
):
    for client in (as_other_student, as_coach, as_other_coach):
        assert send(client, name, student).status_code == 404
    assert send(as_nobody, name, student).status_code == 302
    assert as_student.get(reverse(f"practice:{name}", args=[student.pk])).status_code == 405


@time_machine.travel(NOON)
def test_the_coachs_page_lists_the_days_of_each_lesson(
    as_coach: Client, student: Student, drills: Lesson
):
    older = {"date": datetime.date(2025, 4, 1), "next_visit": datetime.date(2025, 4, 29)}
    factories.LessonFactory(student=student, posted_at=NOON, number=2, **older)
    for why, first, last in (("resting", 3, 4), ("hurt", 6, 6)):
        Rest.objects.create(student=student, why=why, first=may(first), last=may(last))
    page = as_coach.get(reverse("students:student", args=[student.pk])).content.decode()
    told = re.findall(r'past-rest">\s*(.*?)\s*</p>', page)
    assert told == ["Hurt, 6 May.", "Resting, 3 May to 4 May."]
    assert "and 3 days of rest" in page


def test_rest_and_minutes_are_seen_by_whom_the_student_is(
    student: Student, coach: User, other_coach: User, other_student: Student
):
    today = timezone.localdate()
    Rest.objects.create(student=student, why="hurt", first=today, last=today)
    PracticeTime.objects.create(student=student, minutes=20)
    for rows in (Rest.objects, PracticeTime.objects):
        assert rows.visible_to(student.user).count() == 1
        assert rows.visible_to(coach).count() == 1
        assert not rows.visible_to(other_coach).exists()
        assert not rows.visible_to(other_student.user).exists()
