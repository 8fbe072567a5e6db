"""A boxed patch, and workers that are only told of it."""

from __future__ import annotations

from typing import Any

import pytest

from lessons.clips import tasks as clip_tasks
from lessons.clips.models import Clip, Cut, Swing
from lessons.paths import tasks
from lessons.paths.models import Path
from lessons.visits.models import Lesson
from tests import factories
from tests.clips.conftest import (  # noqa: F401 - fixtures
    ready_clip,
    send_in,
    swing_file,
    timed_swing,
)

STAGE = {"HX-Request": "true", "HX-Target": "stage"}


@pytest.fixture
def no_worker(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Nothing is sent to a broker; the keys of the paths that would have been are noted."""
    sent: list[int] = []
    monkeypatch.setattr(tasks.follow, "delay", sent.append)
    for task in (clip_tasks.prepare, clip_tasks.search, clip_tasks.cut, clip_tasks.pull):
        monkeypatch.setattr(task, "delay", lambda pk: None)
    return sent


@pytest.fixture
def swing(timed_swing: Swing) -> Swing:  # noqa: F811
    """A swing of a posted lesson, in a clip with times, that can be stepped through."""
    factories.CutFactory(clip=timed_swing.clip, state=Cut.State.READY)
    return timed_swing


@pytest.fixture
def clip(swing: Swing) -> Clip:
    return swing.clip


@pytest.fixture
def path(swing: Swing, no_worker: list[int]) -> Path:
    """A followed head of a posted lesson; it goes to the right."""
    return factories.PathFactory(swing=swing, ready=True)


@pytest.fixture
def draft_path(lesson: Lesson, no_worker: list[int]) -> Path:
    """The same in a lesson that is not posted, and in a clip without cuts."""
    return factories.PathFactory(swing__clip__lesson=lesson, ready=True)


def box(**values: Any) -> dict[str, Any]:
    """What a browser sends of a box."""
    return {"time_us": 500_000, "x": 640, "y": 180, "width": 90, "height": 110, **values}
