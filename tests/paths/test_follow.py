"""The follow task, on a clip made by the real ffmpeg."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
from django.core.files.storage import default_storage

from lessons.clips import times
from lessons.clips.models import Clip, Cut
from lessons.paths import following, tasks
from lessons.paths.models import Path
from lessons.paths.service import begin_path, correct_path
from media_tools.errors import TimedOut, Unreadable
from media_tools.mannequin import Film, SwingSpec, TimedSwing, truth_of
from portal.work.sending import sweep
from tests.clips.conftest import FPS, FRAMES
from tests.work.rest import rested


@pytest.fixture
def truth() -> Any:
    """What is known of the film of `ready_clip`."""
    swing = TimedSwing(0.0, SwingSpec(backswing_s=0.4, downswing_s=0.2))
    return truth_of(Film(swings=(swing,), size_px=(320, 180), fps=FPS, duration_s=FRAMES / FPS))


@pytest.fixture
def wanted(ready_clip: Clip, truth: Any, no_worker: list[int]) -> Path:
    """The head of the small film, boxed in its middle; the path waits for a worker."""
    table = times.read(ready_clip)
    x, y = truth.joint("head", 20)
    box = {"time_us": table[20], "x": x, "y": y, "width": 26, "height": 34}
    return begin_path(ready_clip, box, "head")


def test_the_head_is_followed_through_the_film(wanted: Path, truth: Any):
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    assert wanted.is_ready, wanted.reason
    table = times.read(wanted.clip)
    assert [row[0] for row in wanted.places] == [
        t for t in table if wanted.begin_us <= t <= wanted.end_us
    ]
    # The mannequin knows where its head is: the truth of the check
    off = [
        math.dist((row[1], row[2]), truth.joint("head", table.index(row[0])))
        for row in wanted.places[:38]
        if row[1] is not None
    ]
    assert len(off) > 30
    assert sorted(off)[len(off) // 2] < 1.5
    json.dumps(wanted.places, allow_nan=False)


def test_a_cuts_rounded_times_are_those_of_the_clips_frames():
    table = [0, 16_683, 33_367, 50_050]
    told = following.on_the_clip(np.array([16_680, 33_370, 50_061]), table)
    assert told.tolist() == table[1:]
    assert following.on_the_clip(np.array([3]), [0]).tolist() == [0]


def test_a_second_run_changes_nothing(wanted: Path):
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    first = wanted.places
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    assert wanted.places == first
    assert wanted.attempts == 1


def test_a_correction_is_followed_by_the_next_run(wanted: Path, truth: Any):
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    time_us = wanted.places[30][0]
    x, y = truth.joint("head", 30)
    right = {"time_us": time_us, "x": x + 3, "y": y, "width": 26, "height": 34}
    correct_path(wanted, [right], wanted.version)
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    assert wanted.is_ready
    assert next(row for row in wanted.places if row[0] == time_us)[1] == pytest.approx(
        x + 3, abs=0.01
    )


def test_boxes_at_several_positions_make_one_path(wanted: Path, truth: Any):
    """A grip is small and quick; each box adds to what is known, and each is gone through."""
    table = times.read(wanted.clip)

    def grip(frame: int) -> dict[str, float]:
        x, y = truth.joint("grip", frame)
        return {"time_us": table[frame], "x": x, "y": y, "width": 18, "height": 18}

    def found() -> set[int]:
        tasks.follow(wanted.pk)
        wanted.refresh_from_db()
        assert wanted.is_ready, wanted.reason
        return {row[0] for row in wanted.places if row[1] is not None}

    Path.objects.update(boxes=[grip(0)])
    wanted.refresh_from_db()
    alone = found()
    frames = [truth.frame_at(truth.swings[0].positions_us[name]) for name in ("P2", "P4", "P7")]
    correct_path(wanted, [grip(frame) for frame in frames], wanted.version)
    together = found()
    assert len(together) >= len(alone)
    assert {table[frame] for frame in (0, *frames)} <= together
    for frame in frames:
        row = next(row for row in wanted.places if row[0] == table[frame])
        assert (row[1], row[2]) == pytest.approx(truth.joint("grip", frame), abs=0.01)


def test_a_box_of_one_shade_is_refused_with_a_sentence(wanted: Path, monkeypatch: Any):
    Path.objects.update(boxes=[{**wanted.boxes[0], "x": 12, "y": 6, "width": 16, "height": 16}])
    blank = [np.full((180, 320), 9, np.uint8)] * 40
    monkeypatch.setattr(following.follow.Filmed, "walk", lambda *_: iter(blank))
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    assert wanted.is_failed
    assert "all of one shade" in wanted.reason
    assert not wanted.may_pass_later


def test_a_cut_that_is_gone_is_said(wanted: Path):
    Cut.objects.all().delete()
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    assert wanted.is_failed
    assert "stepped through" in wanted.reason


def test_a_file_that_is_gone_is_said(wanted: Path):
    default_storage.delete(wanted.clip.cuts.get().study.name)
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    assert wanted.is_failed
    assert "not in the store any more" in wanted.reason


def test_what_may_pass_is_tried_again_and_given_up_in_the_end(wanted: Path, monkeypatch: Any):
    def fails(*_: Any, **__: Any) -> None:
        raise TimedOut("Reading this video took too long. Try again later.")

    monkeypatch.setattr(following.follow, "follow", fails)
    for attempt in (1, 2):
        tasks.follow(wanted.pk)
        wanted.refresh_from_db()
        assert (wanted.state, wanted.attempts) == (Path.State.WANTED, attempt)
        rested(wanted)
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    assert wanted.is_failed
    assert wanted.may_pass_later
    assert "took too long" in wanted.reason


def test_a_damaged_frame_fails_at_once(wanted: Path, monkeypatch: Any):
    def fails(*_: Any, **__: Any) -> None:
        raise Unreadable("The picture at this moment of the video is damaged.")

    monkeypatch.setattr(following.follow, "follow", fails)
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    assert wanted.is_failed
    assert not wanted.may_pass_later


def test_a_worker_that_lost_its_lease_writes_nothing(wanted: Path, monkeypatch: Any):
    """The coach sets the box right while a worker still follows the old one."""
    real = following.follow.follow

    def slow(*args: Any, **named: Any) -> Any:
        correct_path(wanted, [{**wanted.boxes[0], "x": 150.0}], wanted.version)
        return real(*args, **{**named, "should_stop": lambda: False})

    monkeypatch.setattr(following.follow, "follow", slow)
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    assert wanted.state == Path.State.WANTED
    assert wanted.places == []


def test_the_sweep_sends_a_forgotten_path_again(wanted: Path, no_worker: list[int]):
    no_worker.clear()
    Path.objects.update(sent_at=None)
    assert sweep()["Path"] == 1
    assert no_worker == [wanted.pk]


def test_after_the_last_killed_worker_it_is_given_up(wanted: Path):
    Path.objects.update(attempts=3)
    tasks.follow(wanted.pk)
    wanted.refresh_from_db()
    assert wanted.is_failed
    assert wanted.may_pass_later
