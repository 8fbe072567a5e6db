"""How work on a clip ends by what goes wrong, and what costs an attempt."""

from __future__ import annotations

import errno
from collections.abc import Callable

import pytest
from botocore.exceptions import ClientError, EndpointConnectionError
from django.conf import settings
from django.test import Client
from django.urls import reverse

from lessons.clips import cutting, preparing, pulling, searching, service, tasks, working
from lessons.clips.models import Clip, Cut, Still, SwingSearch
from lessons.visits.models import Lesson
from media_tools.errors import NoRoom
from portal.work.models import WorkRow
from tests import factories
from tests.clips.test_prepare import fails_with
from tests.work.rest import rested

OFTEN = 3 * settings.WORK_ATTEMPTS


def refused(status: int) -> ClientError:
    """A store's answer with that status."""
    return ClientError({"ResponseMetadata": {"HTTPStatusCode": status}}, "PutObject")


ROOM = {
    "ffmpeg": NoRoom("There is no room left.", "tail"),
    "disk": OSError(errno.ENOSPC, "No space left on device"),
    "quota": OSError(errno.EDQUOT, "Disk quota exceeded"),
}
STORE = {
    "no answer": EndpointConnectionError(endpoint_url="http://127.0.0.1:1"),
    "store full": refused(507),
    "too many": refused(429),
}


@pytest.fixture(autouse=True)
def _no_worker(no_worker: list[int]) -> None:
    """The tests call the tasks themselves."""


def preparation(ready_clip: Clip) -> tuple[WorkRow, Callable[[int], None], tuple[object, str]]:
    Clip.objects.filter(pk=ready_clip.pk).update(state=Clip.WAITING, attempts=0)
    return ready_clip, tasks.prepare, (preparing.media, "first")


def search(ready_clip: Clip) -> tuple[WorkRow, Callable[[int], None], tuple[object, str]]:
    return ready_clip.search, tasks.search, (searching.motion, "read")


def cut(ready_clip: Clip) -> tuple[WorkRow, Callable[[int], None], tuple[object, str]]:
    row = factories.CutFactory(clip=ready_clip, begin_us=200_000, end_us=400_000)
    return row, tasks.cut, (cutting.media, "study")


def still(ready_clip: Clip) -> tuple[WorkRow, Callable[[int], None], tuple[object, str]]:
    row = service.take_still(ready_clip, 0, "P1")
    return row, tasks.pull, (pulling.stills, "take")


@pytest.mark.parametrize("work", [preparation, search, cut, still])
@pytest.mark.parametrize("error", ROOM.values(), ids=ROOM)
def test_a_full_disk_costs_no_attempt_however_long_it_lasts(
    ready_clip: Clip, monkeypatch: pytest.MonkeyPatch, work: Callable, error: Exception
):
    row, task, (module, name) = work(ready_clip)
    with monkeypatch.context() as full:
        full.setattr(module, name, fails_with(error))
        for _ in range(OFTEN):
            task(rested(row))
            row.refresh_from_db()
            assert (row.state, row.attempts) == (row.WAITING, 0)
            assert row.waits_because == working.NO_ROOM
    task(rested(row))
    row.refresh_from_db()
    assert (row.state, row.attempts, row.reason) == (row.DONE, 1, "")


@pytest.mark.parametrize("error", STORE.values(), ids=STORE)
def test_a_store_that_serves_nobody_costs_no_attempt(
    ready_clip: Clip, monkeypatch: pytest.MonkeyPatch, error: Exception
):
    row, task, (module, name) = cut(ready_clip)
    monkeypatch.setattr(module, name, fails_with(error))
    for _ in range(OFTEN):
        task(rested(row))
        row.refresh_from_db()
        assert (row.state, row.attempts) == (row.WAITING, 0)
    assert row.waits_because == working.NO_STORE


def test_what_the_store_refuses_is_tried_three_times(
    ready_clip: Clip, monkeypatch: pytest.MonkeyPatch
):
    row, task, (module, name) = cut(ready_clip)
    monkeypatch.setattr(module, name, fails_with(refused(403)))
    for _ in range(settings.WORK_ATTEMPTS):
        task(rested(row))
    row.refresh_from_db()
    assert (row.state, row.reason) == (Cut.State.FAILED, cutting.GIVEN_UP)


def test_another_fault_after_a_full_disk_is_not_taken_for_it(
    ready_clip: Clip, monkeypatch: pytest.MonkeyPatch
):
    row, task, (module, name) = still(ready_clip)
    monkeypatch.setattr(module, name, fails_with(ROOM["disk"]))
    task(rested(row))
    monkeypatch.setattr(module, name, fails_with(OSError("the disk is away")))
    for attempt in range(1, settings.WORK_ATTEMPTS):
        task(rested(row))
        row.refresh_from_db()
        assert (row.state, row.attempts, row.reason) == (Still.State.WANTED, attempt, "")
    task(rested(row))
    row.refresh_from_db()
    assert (row.state, row.reason) == (Still.State.FAILED, pulling.GIVEN_UP)


def test_the_clips_page_and_the_shelf_say_why_it_waits(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson, reason=working.NO_ROOM)
    page = as_coach.get(reverse("clips:clip", args=[clip.pk])).content.decode()
    assert "no room left on this site&#x27;s disk" in page
    assert "waits for its turn" not in page
    shelf = as_coach.get(reverse("clips:shelf", args=[lesson.pk])).content.decode()
    assert "next in line" not in shelf
    clip.cancel()
    page = as_coach.get(reverse("clips:clip", args=[clip.pk])).content.decode()
    assert "no room left" not in page


def test_the_page_says_why_a_search_a_cut_and_a_still_wait(as_coach: Client, ready_clip: Clip):
    said = "no room left on this site&#x27;s disk"
    waiting = {"clip": ready_clip, "reason": working.NO_ROOM}
    SwingSearch.objects.filter(clip=ready_clip).update(reason=working.NO_ROOM)
    swings = reverse("clips:swings", args=[ready_clip.pk])
    assert said in as_coach.get(swings).content.decode()
    factories.StillFactory(**waiting)
    assert said in as_coach.get(reverse("clips:stills", args=[ready_clip.pk])).content.decode()
