"""A posted lesson with a thread about it, and how check-in clips are sent."""

from __future__ import annotations

import uuid

import pytest

from lessons.questions.about import Subject
from lessons.questions.models import Thread
from lessons.questions.service import ask
from lessons.students.models import Student
from lessons.visits.models import Lesson
from tests import factories

VIDEO = b"\0" * 1000


def words(text: str = "Is this far enough?", **more: object) -> dict[str, object]:
    """What a page sends."""
    return {"text": text, "client_id": str(uuid.uuid4()), **more}


@pytest.fixture
def lesson_read(posted_lesson: Lesson) -> Lesson:
    """A posted lesson with its recap, one drill and one still in it."""
    recap = factories.RecapFactory(lesson=posted_lesson)
    factories.AssignmentFactory(lesson=posted_lesson, name="sway gate")
    clip = factories.ClipFactory(lesson=posted_lesson, ready=True)
    still = factories.StillFactory(
        clip=clip, state="ready", position="P4", width_px=1280, height_px=720, picture="x.jpg"
    )
    recap.stills.create(still=still)
    return posted_lesson


@pytest.fixture
def thread(lesson_read: Lesson, student: Student) -> Thread:
    """What the student asked about the lesson."""
    return ask(Subject(lesson_read), student.user, "Is this far enough?", uuid.uuid4()).thread
