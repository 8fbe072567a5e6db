"""The pull task: exact frames of the original."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from lessons.clips import pulling, service, tasks, times
from lessons.clips.models import Clip, Still
from lessons.visits.models import Lesson
from media_tools.errors import Unreadable
from media_tools.mannequin import read_frame_code
from tests.work.rest import rested


@pytest.fixture(autouse=True)
def _no_worker(no_worker: list[int]) -> None:
    """The tests call the task themselves."""


def picture(still: Still) -> Image.Image:
    still.refresh_from_db()
    assert still.is_ready, still.reason
    with still.picture.open() as file:
        image = Image.open(file)
        image.load()
    return image


def test_a_still_is_the_frame_that_was_shown(ready_clip: Clip):
    # The film draws each frame's number into the frame: what is read is the truth
    table = times.read(ready_clip)
    for number in (0, 1, 23, len(table) - 1):
        still = service.take_still(ready_clip, table[number], caption=str(number))
        tasks.pull(still.pk)
        assert read_frame_code(picture(still)) == number


def test_it_has_the_originals_size_and_no_metadata(ready_clip: Clip):
    still = service.take_still(ready_clip, 0, "P1")
    tasks.pull(still.pk)
    image = picture(still)
    assert image.format == "JPEG"
    assert image.size == (still.width_px, still.height_px) == (320, 180)
    assert not image.getexif()


def test_it_is_exact_where_the_originals_clock_does_not_begin_at_0(
    lesson: Lesson, late_file: Path, send_in: Callable[..., Clip]
):
    clip = send_in(lesson, late_file.read_bytes())
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    assert clip.offset_us > 1_000_000
    table = times.read(clip)
    still = service.take_still(clip, table[17], "P4")
    tasks.pull(still.pk)
    assert read_frame_code(picture(still)) == 17


def test_all_that_wait_for_a_clip_are_pulled_in_one_pass(
    ready_clip: Clip, monkeypatch: pytest.MonkeyPatch
):
    table = times.read(ready_clip)
    asked = [service.take_still(ready_clip, table[n], f"P{n}") for n in (1, 5, 9)]
    passes = []
    real = pulling.stills.take

    def counted(path: Path, wanted: list[int], source: object) -> list:
        passes.append(len(wanted))
        return real(path, wanted, source)

    monkeypatch.setattr(pulling.stills, "take", counted)
    tasks.pull(asked[1].pk)
    assert passes == [3]
    for number, still in zip((1, 5, 9), asked, strict=True):
        assert read_frame_code(picture(still)) == number


def test_running_twice_changes_nothing(ready_clip: Clip, stored_files: Path):
    still = service.take_still(ready_clip, 0, "P1")
    tasks.pull(still.pk)
    row = Still.objects.values().get(pk=still.pk)
    files = set((stored_files / "stills").rglob("*"))
    tasks.pull(still.pk)
    assert Still.objects.values().get(pk=still.pk) == row
    assert set((stored_files / "stills").rglob("*")) == files


def test_a_worker_that_lost_the_lease_leaves_no_picture(
    ready_clip: Clip, monkeypatch: pytest.MonkeyPatch, stored_files: Path
):
    still = service.take_still(ready_clip, 0, "P1")
    before = set(stored_files.rglob("*.jpg"))
    real = pulling.stills.take

    def lost(*args: object) -> list:
        Still.objects.filter(pk=still.pk).update(lease_token=None)
        return real(*args)

    monkeypatch.setattr(pulling.stills, "take", lost)
    tasks.pull(still.pk)
    still.refresh_from_db()
    assert not still.picture
    assert set(stored_files.rglob("*.jpg")) == before


def test_a_damaged_place_says_so_at_once(ready_clip: Clip, monkeypatch: pytest.MonkeyPatch):
    still = service.take_still(ready_clip, 0, "P1")

    def damaged(*args: object) -> list:
        raise Unreadable("The picture at this moment is damaged.", "no frame")

    monkeypatch.setattr(pulling.stills, "take", damaged)
    tasks.pull(still.pk)
    still.refresh_from_db()
    assert (still.state, still.reason) == (
        Still.State.FAILED,
        "The picture at this moment is damaged.",
    )


def test_trouble_with_the_disk_is_tried_three_times(
    ready_clip: Clip, monkeypatch: pytest.MonkeyPatch
):
    still = service.take_still(ready_clip, 0, "P1")

    def away(*args: object) -> list:
        raise OSError("disk away")

    monkeypatch.setattr(pulling.stills, "take", away)
    states = []
    for _ in range(3):
        tasks.pull(rested(still))
        still.refresh_from_db()
        states.append(still.state)
    assert states == [Still.State.WANTED, Still.State.WANTED, Still.State.FAILED]
    assert still.reason == pulling.GIVEN_UP


def test_without_the_original_it_says_that_it_is_gone(ready_clip: Clip):
    still = service.take_still(ready_clip, 0, "P1")
    ready_clip.original.storage.delete(ready_clip.original.name)
    tasks.pull(still.pk)
    still.refresh_from_db()
    assert still.reason == pulling.LOST


def test_a_still_that_is_gone_is_no_error(db: None):
    tasks.pull(1)


def test_times_find_the_frame_and_the_middle_of_its_interval():
    table = [0, 100, 250]
    assert [times.shown_at(table, t) for t in (0, 99, 100, 249, 250, 9999)] == [0, 0, 1, 1, 2, 2]
    assert [times.middle(table, k, 350) for k in range(3)] == [50, 175, 300]
    assert times.middle([0], 0, 0) == 0
