"""Logs that waited on the phone: each kept once, in its own day, or refused with a reason."""

from __future__ import annotations

import datetime
import uuid
from typing import Any

import pytest
import time_machine
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.drills.models import Assignment
from lessons.practice.models import Log
from lessons.practice.who import who_of
from lessons.students.models import Guardian, Student
from lessons.visits.models import Lesson
from portal.accounts.models import User
from tests import factories

LESSON = datetime.date(2025, 10, 20)
VISIT = datetime.date(2025, 11, 17)
NOON = datetime.datetime(2025, 10, 30, 12, tzinfo=datetime.UTC)


@pytest.fixture
def given(student: Student) -> Assignment:
    """A drill of 20 October, until 17 November, in Dublin."""
    student.user.time_zone = "Europe/Dublin"
    student.user.save()
    with time_machine.travel(datetime.datetime(2025, 10, 20, 18, tzinfo=datetime.UTC)):
        lesson = factories.LessonFactory(
            student=student, date=LESSON, next_visit=VISIT, posted=True
        )
        return factories.AssignmentFactory(lesson=lesson, name="sway gate")


def keep(client: Client, given: Assignment, day: datetime.date | str, **said: Any) -> HttpResponse:
    data = {
        "client_id": uuid.uuid4(),
        "who": who_of(given.lesson.student.user),
        "day": day,
        **said,
    }
    return client.post(reverse("practice:keep", args=[given.pk]), data)


@time_machine.travel(NOON, tick=False)
def test_a_log_of_long_ago_is_kept_in_its_own_day_with_all_it_says(
    as_student: Client, given: Assignment
):
    answer = keep(as_student, given, "2025-10-22", sets=2, reps=10, felt=4, note="Wind.", hurt="on")
    log = Log.objects.get()
    assert answer.json() == {"kept": log.pk, "day": "2025-10-22", "at": NOON.timestamp()}
    assert (log.day, log.percent, log.felt) == (datetime.date(2025, 10, 22), 67, 4)
    assert (log.note, log.hurt, log.by) == ("Wind.", True, given.lesson.student.user)


@time_machine.travel(NOON)
def test_sent_again_it_is_kept_once_and_says_so_again(as_student: Client, given: Assignment):
    one = uuid.uuid4()
    for _ in range(3):
        answer = keep(as_student, given, "2025-10-28", client_id=one, note="The stick helps.")
        assert answer.status_code == 200
    assert Log.objects.count() == 1


@time_machine.travel(NOON)
def test_one_taken_back_meanwhile_stays_taken_back(as_student: Client, given: Assignment):
    one = uuid.uuid4()
    keep(as_student, given, "2025-10-28", client_id=one)
    Log.objects.get().undo()
    assert keep(as_student, given, "2025-10-28", client_id=one).status_code == 200
    assert not Log.objects.standing().exists()


@time_machine.travel(NOON)
def test_two_plain_taps_on_one_day_are_one(as_student: Client, given: Assignment):
    assert keep(as_student, given, "2025-10-28").status_code == 200
    assert keep(as_student, given, "2025-10-28").status_code == 200
    assert Log.objects.count() == 1


@time_machine.travel(NOON)
def test_one_that_would_lose_its_words_is_refused_and_kept_if_asked_again(
    as_student: Client, given: Assignment
):
    keep(as_student, given, "2025-10-28")
    one = uuid.uuid4()
    answer = keep(as_student, given, "2025-10-28", client_id=one, note="Late, but done.")
    assert answer.status_code == 409
    assert answer.json() == {"why": "sway gate is logged for that day already.", "may_add": True}
    answer = keep(as_student, given, "2025-10-28", client_id=one, note="Late.", again="on")
    assert answer.status_code == 200
    assert Log.objects.standing().count() == 2


REFUSED = [
    ("the day before the lesson", "2025-10-19", "before the lesson"),
    ("tomorrow", "2025-10-31", "still to come"),
]


@time_machine.travel(NOON)
@pytest.mark.parametrize(("said", "day", "why"), REFUSED, ids=[row[0] for row in REFUSED])
def test_a_day_outside_the_lessons_time_is_refused_with_a_reason(
    as_student: Client, given: Assignment, said: str, day: str, why: str
):
    answer = keep(as_student, given, day)
    assert answer.status_code == 409
    assert why in answer.json()["why"]
    assert not Log.objects.exists()


@pytest.mark.parametrize(
    ("day", "status"), [("2025-11-16", 200), ("2025-11-17", 200), ("2025-11-18", 409)]
)
@time_machine.travel(datetime.datetime(2025, 11, 20, 12, tzinfo=datetime.UTC))
def test_days_until_the_next_visit_are_taken_after_it_is_over(
    as_student: Client, given: Assignment, day: str, status: int
):
    assert keep(as_student, given, day).status_code == status


@pytest.mark.parametrize(
    ("day", "status"), [("2025-10-26", 200), ("2025-10-27", 200), ("2025-10-28", 409)]
)
@time_machine.travel(NOON)
def test_a_drill_taken_away_takes_logs_of_the_days_it_stood(
    as_student: Client, given: Assignment, day: str, status: int
):
    # 27 October in Dublin, although late in the evening
    removed = datetime.datetime(2025, 10, 27, 23, 30, tzinfo=datetime.UTC)
    Assignment.objects.filter(pk=given.pk).update(removed_at=removed)
    answer = keep(as_student, given, day)
    assert answer.status_code == status
    if status == 409:
        assert "took this drill off your list on Monday 27 October" in answer.json()["why"]


@pytest.mark.parametrize(
    ("day", "status"), [("2025-10-26", 200), ("2025-10-27", 200), ("2025-10-28", 409)]
)
@time_machine.travel(NOON)
def test_a_newer_lesson_ends_what_an_older_one_takes(
    as_student: Client, given: Assignment, student: Student, day: str, status: int
):
    newer = datetime.date(2025, 10, 27)
    factories.LessonFactory(student=student, date=newer, posted_at=timezone.now())
    assert keep(as_student, given, day).status_code == status


# UTC moment, zone, the days it is there: today is taken, tomorrow is not
CLOCKS = [
    ("Europe/Dublin", "2025-10-25T22:59", "2025-10-25"),  # summer time, an hour to midnight
    ("Europe/Dublin", "2025-10-25T23:01", "2025-10-26"),
    ("Europe/Dublin", "2025-10-26T23:59", "2025-10-26"),  # winter time since that night
    ("Europe/Dublin", "2025-10-27T00:01", "2025-10-27"),
    ("Pacific/Auckland", "2025-10-26T11:30", "2025-10-27"),
    ("America/Los_Angeles", "2025-11-02T07:30", "2025-11-02"),
    ("America/Los_Angeles", "2025-11-03T07:30", "2025-11-02"),  # a day of 25 hours
    ("Asia/Kolkata", "2025-10-29T18:31", "2025-10-30"),
]


@pytest.mark.parametrize(("zone", "moment", "today"), CLOCKS)
def test_the_day_is_that_of_the_students_time_zone(
    as_student: Client, given: Assignment, zone: str, moment: str, today: str
):
    user = given.lesson.student.user
    user.time_zone = zone
    user.save()
    day = datetime.date.fromisoformat(today)
    with time_machine.travel(datetime.datetime.fromisoformat(f"{moment}+00:00"), tick=False):
        assert keep(as_student, given, day).status_code == 200
        tomorrow = day + datetime.timedelta(days=1)
        assert keep(as_student, given, tomorrow).status_code == 409


@time_machine.travel(NOON)
def test_a_log_of_another_person_is_left_on_the_phone(as_student: Client, given: Assignment):
    answer = keep(as_student, given, "2025-10-28", who="somebody else")
    assert answer.status_code == 403
    assert not Log.objects.exists()


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        ({"day": "soon"}, "could not be read"),
        ({"day": ""}, "without its day"),
        ({"reps": "0"}, "Write 1 or more"),
        ({"felt": "9"}, "Choose one of the five"),
        ({"client_id": "x"}, "valid UUID"),
    ],
)
@time_machine.travel(NOON)
def test_what_cant_be_read_is_refused_with_a_reason(
    as_student: Client, given: Assignment, wrong: dict[str, str], why: str
):
    answer = keep(as_student, given, **{"day": "2025-10-28", **wrong})
    assert answer.status_code == 422
    assert why in answer.json()["why"]


@time_machine.travel(NOON)
def test_strangers_find_nothing(
    as_other_student: Client,
    as_coach: Client,
    as_other_coach: Client,
    given: Assignment,
    other_student: Student,
    coach: User,
    other_coach: User,
):
    strangers = {
        as_other_student: other_student.user,
        as_coach: coach,
        as_other_coach: other_coach,
    }
    for client, user in strangers.items():
        assert keep(client, given, "2025-10-28", who=who_of(user)).status_code == 404
        # Sent by the phone of the one before: it waits for them
        assert keep(client, given, "2025-10-28").status_code == 403


def test_the_signed_out_are_sent_to_sign_in(as_nobody: Client, given: Assignment):
    assert keep(as_nobody, given, "2025-10-28").status_code == 302


def test_it_takes_nothing_but_a_post(as_student: Client, given: Assignment):
    assert as_student.get(reverse("practice:keep", args=[given.pk])).status_code == 405


def test_a_guardian_keeps_for_a_junior(
    as_guardian: Client, guardian: Guardian, juniors_drill: Assignment
):
    day = timezone.localdate()
    answer = keep(as_guardian, juniors_drill, day, who=who_of(guardian.user))
    assert answer.status_code == 200
    assert Log.objects.get().by == guardian.user


def test_a_draft_takes_nothing(as_student: Client, lesson: Lesson):
    given = factories.AssignmentFactory(lesson=lesson)
    assert keep(as_student, given, timezone.localdate()).status_code == 404
