"""The search task: a clip's swings become rows; and clips:look, by which a coach looks again."""

from __future__ import annotations

import datetime
from types import SimpleNamespace

import pytest
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.clips import placing, searching, swings, tasks
from lessons.clips.models import Clip, Swing, SwingSearch
from lessons.visits.models import Lesson
from media_tools.errors import ToolFailed
from media_tools.swings import FoundSwing
from portal.work.sending import sweep
from tests import factories
from tests.clips.test_prepare import fails_with
from tests.work.rest import rested


@pytest.fixture
def search(ready_clip: Clip) -> SwingSearch:
    return ready_clip.search


def found(begin_s: float, **other: object) -> FoundSwing:
    """A swing as the finder tells of it."""
    begin = round(begin_s * 1e6)
    values = {
        "top_us": begin + 100_000,
        "strike_us": begin + 150_000,
        "by": "sound and motion",
        "is_practice": False,
        "confidence": 0.9,
        **other,
    }
    return FoundSwing(begin_us=begin, finish_us=begin + 200_000, **values)


def finds(monkeypatch: pytest.MonkeyPatch, *found: FoundSwing) -> None:
    monkeypatch.setattr(searching.swings, "find", lambda *_, **__: list(found))


def test_a_ready_clip_is_searched_once(ready_clip: Clip, no_worker: list[int]):
    assert ready_clip.search.state == SwingSearch.State.WANTED
    swings.look_for_swings(ready_clip)
    assert SwingSearch.objects.count() == 1


def test_the_real_finder_runs_over_the_prepared_files(search: SwingSearch):
    # the small film is too short and coarse for a swing to be sure; tests/media_tools judges that
    tasks.search(search.pk)
    search.refresh_from_db()
    assert search.state == SwingSearch.State.DONE, search.reason


def test_what_is_found_becomes_swings(search: SwingSearch, monkeypatch: pytest.MonkeyPatch):
    practice = {"strike_us": None, "is_practice": True, "by": "motion"}
    finds(monkeypatch, found(0.1), found(0.5, **practice))
    tasks.search(search.pk)
    first, second = search.clip.swings.all()
    assert (first.begin_us, first.strike_us, first.by) == (100_000, 250_000, Swing.By.SOUND)
    assert 16_000 < first.frame_us < 17_500
    assert (second.strike_us, second.is_practice, second.by) == (None, True, Swing.By.MOTION)


def test_running_twice_and_five_messages_change_nothing(
    search: SwingSearch, monkeypatch: pytest.MonkeyPatch
):
    finds(monkeypatch, found(0.1))
    for _ in range(5):
        tasks.search(search.pk)
    search.refresh_from_db()
    assert (search.state, search.attempts) == (SwingSearch.State.DONE, 1)
    assert search.clip.swings.count() == 1


def test_searching_again_leaves_what_the_coach_did(
    search: SwingSearch, monkeypatch: pytest.MonkeyPatch
):
    finds(monkeypatch, *(found(at / 10) for at in (0, 2, 4)))
    tasks.search(search.pk)
    clip = search.clip
    corrected, removed, untouched = clip.swings.all()
    placing.place(corrected, "P10", 195_000)
    removed.remove()
    hand = factories.SwingFactory(
        clip=clip,
        by=Swing.By.HAND,
        begin_us=600_000,
        top_us=None,
        strike_us=None,
        finish_us=750_000,
    )
    # this time: the corrected and the removed again, another in place of the last, one by hand
    finds(monkeypatch, found(0.0), found(0.2), found(0.4), found(0.65))
    swings.look_again(clip)
    tasks.search(search.pk)
    current = clip.swings.current()
    assert {corrected.pk, hand.pk} <= {swing.pk for swing in current}
    assert [swing.begin_us for swing in current] == [0, 400_000, 600_000]
    assert not Swing.objects.filter(pk=untouched.pk).exists()


def test_it_leaves_a_search_alone_that_another_worker_has(search: SwingSearch):
    SwingSearch.claim(search.pk)
    tasks.search(search.pk)
    search.refresh_from_db()
    assert (search.state, search.attempts) == (SwingSearch.State.LOOKING, 1)


def test_a_worker_that_lost_the_lease_writes_no_swing(
    search: SwingSearch, monkeypatch: pytest.MonkeyPatch
):
    def slow(*_: object, **__: object) -> list[FoundSwing]:
        lapsed = timezone.now() - datetime.timedelta(seconds=1)
        SwingSearch.objects.filter(pk=search.pk).update(lease_until=lapsed)
        assert SwingSearch.claim(search.pk)
        return [found(0.1)]

    monkeypatch.setattr(searching.swings, "find", slow)
    tasks.search(search.pk)
    search.refresh_from_db()
    assert search.state == SwingSearch.State.LOOKING
    assert not Swing.objects.exists()


def test_a_passing_fault_is_tried_three_times_and_the_clip_stays(
    search: SwingSearch, monkeypatch: pytest.MonkeyPatch, as_coach: Client
):
    monkeypatch.setattr(searching.motion, "read", fails_with(ToolFailed("No luck.", "")))
    for _ in range(3):
        tasks.search(rested(search))
    search.refresh_from_db()
    assert (search.state, search.may_pass_later) == (SwingSearch.State.FAILED, True)
    page = as_coach.get(reverse("clips:clip", args=[search.clip_id])).content.decode()
    assert "<clip-player" in page
    assert "No luck." in page
    assert "Look again" in page


def test_a_file_that_is_gone_is_told(search: SwingSearch):
    default_storage.delete(search.clip.motion.name)
    tasks.search(search.pk)
    search.refresh_from_db()
    assert (search.reason, search.may_pass_later) == (searching.LOST, False)


def test_a_search_that_takes_the_process_with_it_fails_in_the_end(search: SwingSearch):
    for _ in range(3):
        assert SwingSearch.claim(search.pk)
        lapsed = timezone.now() - datetime.timedelta(seconds=1)
        SwingSearch.objects.update(lease_until=lapsed)
    tasks.search(search.pk)
    search.refresh_from_db()
    assert (search.state, search.reason) == (SwingSearch.State.FAILED, searching.GIVEN_UP)


def test_the_sweep_sends_a_search_that_was_never_sent(search: SwingSearch, no_worker: list[int]):
    no_worker.clear()
    assert sweep()["SwingSearch"] == 1
    assert search.pk in no_worker


def test_the_finder_is_told_the_true_rate(search: SwingSearch, monkeypatch: pytest.MonkeyPatch):
    Clip.objects.filter(pk=search.clip_id).update(filmed_hz=240)
    told = SimpleNamespace(rate=0.0)

    def find(*_: object, rate: float) -> list[FoundSwing]:
        told.rate = rate
        return []

    monkeypatch.setattr(searching.swings, "find", find)
    tasks.search(search.pk)
    assert told.rate == pytest.approx(4.0, abs=0.01)  # stored as 60


def test_another_rate_asks_for_another_search(
    as_coach: Client, search: SwingSearch, monkeypatch: pytest.MonkeyPatch
):
    finds(monkeypatch)
    tasks.search(search.pk)
    address = reverse("clips:rate", args=[search.clip_id])
    as_coach.post(address, {"filmed_hz": "240"})
    search.refresh_from_db()
    assert search.state == SwingSearch.State.WANTED


def test_a_rate_stated_during_a_search_takes_its_lease(search: SwingSearch):
    token = SwingSearch.claim(search.pk)
    clip = search.clip
    clip.filmed_hz = 240
    swings.state_rate(clip)
    assert not SwingSearch.settle(search.pk, token, SwingSearch.State.DONE)
    search.refresh_from_db()
    assert (search.state, search.attempts) == (SwingSearch.State.WANTED, 0)


def test_look_sends_a_failed_search_anew(as_coach: Client, lesson: Lesson, no_worker: list[int]):
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    search = SwingSearch.objects.create(clip=clip, state=SwingSearch.State.FAILED, attempts=3)
    as_coach.post(reverse("clips:look", args=[clip.pk]))
    search.refresh_from_db()
    assert (search.state, search.attempts) == (SwingSearch.State.WANTED, 0)


def test_a_cancelled_search_loses_its_lease_and_can_be_taken_up_again(
    as_coach: Client, lesson: Lesson, no_worker: list[int]
):
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    search = SwingSearch.objects.create(clip=clip)
    token = SwingSearch.claim(search.pk)
    page = as_coach.post(
        reverse("clips:cancel_look", args=[clip.pk]), headers={"HX-Request": "true"}
    ).content.decode()
    assert "Looking for swings was cancelled." in page
    assert "Look again" in page
    assert "every 2s" not in page
    assert not SwingSearch.settle(search.pk, token, SwingSearch.State.DONE)
    assert SwingSearch.claim(search.pk) is None
    as_coach.post(reverse("clips:look", args=[clip.pk]))
    search.refresh_from_db()
    assert search.state == SwingSearch.State.WANTED


def test_a_search_that_is_done_can_not_be_cancelled(as_coach: Client, lesson: Lesson):
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    search = SwingSearch.objects.create(clip=clip, state=SwingSearch.State.DONE)
    as_coach.post(reverse("clips:cancel_look", args=[clip.pk]))
    search.refresh_from_db()
    assert search.state == SwingSearch.State.DONE


@pytest.mark.parametrize("view", ["look", "cancel_look"])
@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_look_refuses_all_but_the_coach(
    who: str, view: str, request: pytest.FixtureRequest, lesson: Lesson
):
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    client = request.getfixturevalue(who)
    assert client.post(reverse(f"clips:{view}", args=[clip.pk])).status_code == 404
    assert not SwingSearch.objects.exists()


@pytest.mark.parametrize("view", ["look", "cancel_look"])
def test_look_refuses_another_method_and_the_signed_out(
    view: str, as_coach: Client, as_nobody: Client, lesson: Lesson
):
    clip = factories.ClipFactory(lesson=lesson, ready=True)
    address = reverse(f"clips:{view}", args=[clip.pk])
    assert as_coach.get(address).status_code == 405
    assert as_nobody.post(address).status_code == 302
