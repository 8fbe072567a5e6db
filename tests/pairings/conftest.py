"""Pairings of real clips, whose frames carry their numbers, and of rows alone."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import pytest
from django.utils import timezone

from lessons.clips import tasks as clip_tasks
from lessons.clips.models import Clip, Swing
from lessons.pairings import tasks
from lessons.pairings.models import Pairing
from lessons.pairings.offering import Offer
from lessons.pairings.service import begin_pairing
from lessons.visits.models import Lesson
from tests import factories
from tests.clips.conftest import (  # noqa: F401 - fixtures
    late_file,
    no_worker,
    ready_clip,
    send_in,
    swing_file,
)
from tests.marks.conftest import browser_type_launch_args  # noqa: F401 - Debian's Chromium

# fixtures come by name
# ruff: noqa: F811


@pytest.fixture(autouse=True)
def saved_sent(monkeypatch: pytest.MonkeyPatch, no_worker: list[int]) -> list[int]:
    """The keys of what would have been sent to a worker that saves pairings."""
    sent: list[int] = []
    monkeypatch.setattr(tasks.save, "delay", sent.append)
    return sent


def swing_of(clip: Clip, **moments: int | None) -> Swing:
    """A swing as the small film shows it; `moments` are other times of it."""
    usual = {"begin_us": 0, "top_us": 400_000, "strike_us": 600_000, "finish_us": 780_000}
    return factories.SwingFactory(clip=clip, **{**usual, **moments})


@pytest.fixture
def earlier_lesson(lesson: Lesson) -> Lesson:
    """The same student's lesson of a month ago, posted."""
    return factories.LessonFactory(
        student=lesson.student,
        date=timezone.localdate() - datetime.timedelta(days=28),
        posted=True,
    )


@pytest.fixture
def late_clip(earlier_lesson: Lesson, late_file: Path, send_in: Callable[..., Clip]) -> Clip:
    """A clip of the earlier lesson whose original's clock does not begin at 0."""
    clip = send_in(earlier_lesson, late_file.read_bytes(), club="7-iron")
    clip_tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert clip.is_ready, clip.reason
    for cut in clip.cuts.all():
        clip_tasks.cut(cut.pk)
    return clip


@pytest.fixture
def filmed(lesson: Lesson, ready_clip: Clip, late_clip: Clip) -> Pairing:
    """Two swings of real clips: now, and a month ago with a slower way down."""
    ready_clip.swings.all().delete()
    late_clip.swings.all().delete()
    now = Offer(ready_clip, swing_of(ready_clip))
    before = Offer(late_clip, swing_of(late_clip, top_us=300_000, strike_us=650_000))
    pairing = begin_pairing(lesson, [now, before])
    # The newer one first, as its coach has ordered them
    pairing.sides.filter(clip=late_clip).update(order=5)
    return pairing


@pytest.fixture
def pairing(lesson: Lesson) -> Pairing:
    """A pairing's rows, without files."""
    return factories.PairingFactory(lesson=lesson)
