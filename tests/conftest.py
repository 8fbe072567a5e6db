"""The cast of every test, and what holds for all of them."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.test import Client

from lessons.students.models import Guardian, Student
from lessons.visits.models import Lesson
from portal.accounts.models import User
from tests import factories
from tests.servers import postgres_url, redis_url, s3_store  # noqa: F401 - fixtures


@pytest.fixture(autouse=True)
def no_unexpected_error(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """A test in which the site logs an ERROR fails; one that means to calls caplog.clear()."""
    yield
    errors = [r.getMessage() for r in caplog.get_records("call") if r.levelno >= logging.ERROR]
    assert not errors, f"unexpected errors in the log: {errors}"


@pytest.fixture
def coach(db: None) -> User:
    return factories.CoachFactory()


@pytest.fixture
def other_coach(db: None) -> User:
    return factories.CoachFactory()


@pytest.fixture
def student(coach: User) -> Student:
    """A grown-up student of the coach, who signs in."""
    return factories.StudentFactory(coach=coach)


@pytest.fixture
def other_student(coach: User) -> Student:
    """Another student of the same coach."""
    return factories.StudentFactory(coach=coach)


@pytest.fixture
def junior(coach: User) -> Student:
    """A student under 18, whose guardian has not consented yet."""
    return factories.JuniorFactory(coach=coach)


@pytest.fixture
def guardian(junior: Student) -> Guardian:
    """The junior's guardian, who signs in; consent is not recorded."""
    return factories.GuardianFactory(student=junior)


@pytest.fixture
def lesson(student: Student) -> Lesson:
    """A lesson of the student, not posted."""
    return factories.LessonFactory(student=student)


@pytest.fixture
def posted_lesson(student: Student) -> Lesson:
    return factories.LessonFactory(student=student, posted=True)


def signed_in(user: User) -> Client:
    """A browser in which the user is signed in."""
    client = Client()
    client.force_login(user)
    return client


@pytest.fixture
def as_coach(coach: User) -> Client:
    return signed_in(coach)


@pytest.fixture
def as_other_coach(other_coach: User) -> Client:
    return signed_in(other_coach)


@pytest.fixture
def as_student(student: Student) -> Client:
    return signed_in(student.user)


@pytest.fixture
def as_other_student(other_student: Student) -> Client:
    return signed_in(other_student.user)


@pytest.fixture
def as_guardian(guardian: Guardian) -> Client:
    return signed_in(guardian.user)


@pytest.fixture
def as_nobody(db: None) -> Client:
    """A browser in which nobody is signed in."""
    return Client()


@pytest.fixture
def stored_files() -> Path:
    """The folder in which the test's private files lie."""
    return Path(default_storage.location)
