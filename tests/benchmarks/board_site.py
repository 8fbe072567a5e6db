"""A board of any size in a database of its own, for tests.benchmarks.board."""

from __future__ import annotations

import datetime
import statistics
import time
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection
from django.test import Client
from django.test.utils import (
    CaptureQueriesContext,
    setup_databases,
    setup_test_environment,
    teardown_databases,
)
from django.utils import timezone

from lessons.drills.models import Assignment
from lessons.practice.models import Log
from lessons.recaps.models import Recap, Seen
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User
from tests import factories

ROUNDS = 5
LOGGED_AFTER = (1, 2, 4, 5, 7, 8)


@contextmanager
def database() -> Iterator[None]:
    """An empty database that is gone afterwards."""
    setup_test_environment()
    old = setup_databases(verbosity=0, interactive=False)
    try:
        yield
    finally:
        teardown_databases(old, verbosity=0)


def fill(count: int) -> User:
    """A coach with so many students, each with two lessons and some practice."""
    coach = factories.CoachFactory()
    today = timezone.localdate()
    users = User.objects.bulk_create(
        User(name=f"Person {n}", email=f"{coach.pk}-{n}@example.org", role=User.Role.STUDENT)
        for n in range(count)
    )
    students = Student.objects.bulk_create(
        Student(coach=coach, user=user, name=user.name, born=datetime.date(1980, 1, 1))
        for user in users
    )
    lessons = Lesson.objects.bulk_create(
        Lesson(
            student=student,
            number=number,
            date=today - datetime.timedelta(days_ago),
            next_visit=today + datetime.timedelta(place % 30),
            posted_at=timezone.now() - datetime.timedelta(days_ago),
        )
        for place, student in enumerate(students)
        for number, days_ago in ((1, 60), (2, 20))
    )
    newer = lessons[1::2]
    recaps = Recap.objects.bulk_create(Recap(lesson=lesson, main_point="Turn") for lesson in newer)
    Seen.objects.bulk_create(
        Seen(recap=recap, user=user) for recap, user in zip(recaps, users, strict=True)
    )
    given = Assignment.objects.bulk_create(
        Assignment(lesson=lesson, name=f"Drill {place}", sets=3, reps=10, order=place)
        for lesson in newer
        for place in range(2)
    )
    Log.objects.bulk_create(
        Log(assignment=one, day=today - datetime.timedelta(20 - after), felt=1 + (after + n) % 5)
        for n, one in enumerate(given)
        for after in LOGGED_AFTER
    )
    return coach


def ask(coach: User) -> tuple[float, int, float]:
    """Median seconds, the number of queries, and the size of the page in kB."""
    client = Client()
    client.force_login(coach)
    seconds = []
    for _ in range(ROUNDS):
        with CaptureQueriesContext(connection) as queries:
            begun = time.perf_counter()
            answer = client.get("/board/")
            seconds.append(time.perf_counter() - begun)
    return statistics.median(seconds), len(queries), len(answer.content) / 1000
