"""A recap that is being written, and how a page sends it."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from lessons.recaps.carrying import recap_of
from lessons.recaps.models import Recap
from lessons.visits.models import Lesson
from portal.accounts.models import User
from tests import factories

PAGE = str(uuid.uuid4())


@pytest.fixture
def recap(lesson: Lesson) -> Recap:
    return recap_of(lesson)


@pytest.fixture
def drill(coach: User):
    return factories.DrillFactory(coach=coach, name="Sway gate")


@pytest.fixture
def still(lesson: Lesson):
    """A ready still of the lesson, without a file."""
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    return factories.StillFactory(
        clip=clip, state="ready", position="P4", width_px=1280, height_px=720
    )


def page(**content: Any) -> dict[str, Any]:
    """What an open page sends, with the version it was made from."""
    return {"version": 0, "page": PAGE, "main_point": "", "body": "", **content}


def finding(**values: Any) -> dict[str, Any]:
    words = {"what": "The hips slide", "why": "", "ball": "", "standing": "new"}
    return {"key": str(uuid.uuid4()), "came_from": None, **words, **values}


def given(drill: Any, **values: Any) -> dict[str, Any]:
    dose = {"sets": 3, "reps": 10, "minutes": None, "days_a_week": 5, "note": ""}
    return {"key": str(uuid.uuid4()), "drill": drill.pk, **dose, **values}


def save(client: Client, lesson: Lesson, data: Any) -> HttpResponse:
    url = reverse("recaps:recap", args=[lesson.pk])
    return client.put(url, data, content_type="application/json")
