"""Drills given, and taps on them."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from lessons.drills.models import Assignment
from lessons.practice.models import Log
from lessons.students.models import Guardian, Student
from lessons.visits.models import Lesson
from tests import factories

HTMX = {"HX-Request": "true"}


@pytest.fixture
def given(posted_lesson: Lesson) -> Assignment:
    """A drill of the student's newest lesson: 3 x 10, 5 days a week."""
    return factories.AssignmentFactory(lesson=posted_lesson, name="sway gate")


@pytest.fixture
def log(given: Assignment) -> Log:
    """Done today, by the student."""
    return factories.LogFactory(assignment=given, by=given.lesson.student.user)


@pytest.fixture
def juniors_drill(junior: Student, guardian: Guardian) -> Assignment:
    return factories.AssignmentFactory(lesson=factories.LessonFactory(student=junior, posted=True))


def tap(
    client: Client, assignment: Assignment, when: str = "today", htmx: bool = True, **fields: Any
) -> HttpResponse:
    """Send the form of one tap; a new client_id unless one is given."""
    data = {"client_id": uuid.uuid4(), "when": when, **fields}
    headers = HTMX if htmx else {}
    return client.post(reverse("practice:log", args=[assignment.pk]), data, headers=headers)
