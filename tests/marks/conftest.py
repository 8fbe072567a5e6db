"""Stills to draw on, and a Chromium that draws."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.files.base import ContentFile
from PIL import Image

from lessons.clips.models import Still
from lessons.visits.models import Lesson
from tests import factories
from tests.browser.conftest import browser_type_launch_args  # noqa: F401 - a fixture

WIDTH, HEIGHT = 640, 480
GREY = (128, 128, 128)


def make_still(lesson: Lesson, **values: Any) -> Still:
    """A ready still of the lesson with a plain grey picture."""
    out = io.BytesIO()
    Image.new("RGB", (WIDTH, HEIGHT), GREY).save(out, "JPEG")
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    still = factories.StillFactory(
        **{"clip": clip, "state": Still.State.READY, "width_px": WIDTH, "height_px": HEIGHT}
        | values
    )
    still.picture.save("still.jpg", ContentFile(out.getvalue()))
    return still


def line(**values: Any) -> dict[str, Any]:
    """A good mark as a browser sends it."""
    mark = {"id": "a1", "kind": "line", "points": [[10, 20], [300, 400]], "colour": "#E69F00"}
    return {**mark, "text": "", **values}


@pytest.fixture
def still(lesson: Lesson) -> Still:
    return make_still(lesson)


@pytest.fixture
def posted_still(posted_lesson: Lesson) -> Still:
    return make_still(posted_lesson)
