"""clips:swings and what a coach does with a swing: add, keep, remove, restore."""

from __future__ import annotations

import datetime

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.clips import swings, tasks, times
from lessons.clips.models import Clip, Cut, Swing
from lessons.clips.tempo import looks_slow, tempo_of
from lessons.visits.models import Lesson
from tests import factories

SWINGS = {"HX-Request": "true", "HX-Target": "swings"}
VIEWS = ("keep", "remove_swing", "restore_swing")


@pytest.fixture
def swing(ready_clip: Clip) -> Swing:
    """A swing on the small film of 48 frames at 60 a second."""
    return factories.SwingFactory(
        clip=ready_clip, begin_us=100_000, top_us=300_000, strike_us=400_000, finish_us=600_000
    )


def address(view: str, swing: Swing) -> str:
    return reverse(f"clips:{view}", args=[swing.pk])


def test_the_page_shows_each_swing_with_tempo_and_how_it_was_found(as_coach: Client, swing: Swing):
    page = as_coach.get(reverse("clips:clip", args=[swing.clip_id])).content.decode()
    assert "Backswing <strong>0.20 s</strong>" in page
    assert "<strong>2.0</strong> to 1" in page
    assert "Found by sound and motion" in page
    assert 'data-finish-us="600000"' in page


def test_the_student_sees_swings_and_changes_none(as_student: Client, swing: Swing):
    Lesson.objects.update(posted_at=timezone.now())
    page = as_student.get(reverse("clips:clip", args=[swing.clip_id])).content.decode()
    assert "Backswing" in page
    for only_coach in (
        "This frame is",
        "Pull all positions",
        "Add a swing",
        ">Keep<",
        "Make it steppable",
    ):
        assert only_coach not in page


@pytest.mark.parametrize(
    ("backswing", "downswing", "hz", "ratio"),
    # frames at 30 a second, common practice as arXiv physics/0611291 has it: 24/8, 27/9, 21/7
    [(24, 8, 30, 3.0), (27, 9, 30, 3.0), (21, 7, 30, 3.0)],
)
def test_tempo_agrees_with_the_frames_that_the_trade_counts(
    backswing: int, downswing: int, hz: int, ratio: float
):
    frame = 1e6 / hz
    swing = Swing(
        begin_us=0,
        top_us=round(backswing * frame),
        strike_us=round((backswing + downswing) * frame),
        finish_us=3_000_000,
        frame_us=round(frame),
    )
    assert tempo_of(swing).ratio == pytest.approx(ratio, abs=0.001)
    assert tempo_of(swing).backswing_s == pytest.approx(backswing / hz, abs=1e-5)
    assert tempo_of(swing, slowdown=8).backswing_s == pytest.approx(backswing / hz / 8, abs=1e-5)
    assert not looks_slow(tempo_of(swing))


def test_a_stretched_clip_is_told_to_look_slow_until_its_rate_is_stated(
    as_coach: Client, lesson: Lesson
):
    clip = factories.ClipFactory(lesson=lesson, ready=True, frame_us=33_333)
    factories.SwingFactory(clip=clip, begin_us=0, top_us=6_000_000, strike_us=8_000_000,
                           finish_us=9_000_000, frame_us=33_333)  # fmt: skip
    page = reverse("clips:clip", args=[clip.pk])
    assert "This is slow for a swing" in as_coach.get(page).content.decode()
    Clip.objects.update(filmed_hz=240)
    shown = as_coach.get(page).content.decode()
    assert "This is slow for a swing" not in shown
    assert "Backswing <strong>0.75 s</strong>" in shown


def test_without_a_top_there_is_no_tempo():
    assert tempo_of(Swing(begin_us=0, top_us=None, strike_us=5, finish_us=9, frame_us=1)) is None


def test_a_swing_is_added_around_its_strike(as_coach: Client, ready_clip: Clip):
    page = as_coach.post(
        reverse("clips:add_swing", args=[ready_clip.pk]), {"time_us": "405000"}, headers=SWINGS
    ).content.decode()
    added = ready_clip.swings.get()
    assert added.strike_us == times.at(times.read(ready_clip), 405_000)
    assert added.begin_us < added.strike_us < added.finish_us
    assert (added.top_us, added.by) == (None, Swing.By.HAND)
    assert f'data-choose="{added.pk}"' in page


def test_adding_twice_gives_one_swing(ready_clip: Clip):
    assert swings.add_swing(ready_clip, 405_000) == swings.add_swing(ready_clip, 405_000)


def test_a_swing_added_outside_of_every_cut_asks_for_one(lesson: Lesson, ready_clip: Clip):
    Clip.objects.filter(pk=ready_clip.pk).update(duration_us=20_000_000)
    Cut.objects.all().delete()
    ready_clip.refresh_from_db()
    swings.add_swing(ready_clip, 405_000)
    cut = ready_clip.cuts.get()
    tasks.cut(cut.pk)
    cut.refresh_from_db()
    assert cut.is_ready


@pytest.mark.parametrize(("time_us", "words"), [("", "is missing"), ("99000000", "outside")])
def test_adding_says_what_is_wrong(as_coach: Client, ready_clip: Clip, time_us: str, words: str):
    answer = as_coach.post(reverse("clips:add_swing", args=[ready_clip.pk]), {"time_us": time_us})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Swing.objects.exists()


def test_one_swing_of_a_clip_is_kept(as_coach: Client, swing: Swing):
    other = factories.SwingFactory(clip=swing.clip)
    for kept in (swing, other):
        as_coach.post(address("keep", kept))
        assert list(Swing.objects.filter(is_kept=True)) == [kept]
    as_coach.post(address("keep", other))
    assert not Swing.objects.filter(is_kept=True).exists()


def test_remove_offers_undo_and_restore_brings_it_back(as_coach: Client, swing: Swing):
    page = as_coach.post(address("remove_swing", swing), headers=SWINGS).content.decode()
    assert address("restore_swing", swing) in page
    assert f'id="swing-{swing.pk}"' not in page
    page = as_coach.post(address("restore_swing", swing), headers=SWINGS).content.decode()
    assert f'id="swing-{swing.pk}"' in page


def test_undo_is_offered_for_a_while(as_coach: Client, swing: Swing):
    Swing.objects.update(removed_at=timezone.now() - datetime.timedelta(hours=1))
    page = as_coach.get(reverse("clips:swings", args=[swing.clip_id])).content.decode()
    assert "Undo" not in page


def test_it_asks_again_only_while_a_worker_is_at_it(as_coach: Client, swing: Swing):
    path = reverse("clips:swings", args=[swing.clip_id])
    assert "every 2s" in as_coach.get(path).content.decode()  # the search waits
    tasks.search(swing.clip.search.pk)
    assert "every 2s" not in as_coach.get(path).content.decode()


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_they_refuse_all_but_the_coach(
    view: str, who: str, request: pytest.FixtureRequest, posted_lesson: Lesson
):
    swing = factories.SwingFactory(clip__lesson=posted_lesson, clip__ready=True)
    before = Swing.objects.values().get(pk=swing.pk)
    assert request.getfixturevalue(who).post(address(view, swing)).status_code == 404
    assert Swing.objects.values().get(pk=swing.pk) == before


@pytest.mark.parametrize("view", VIEWS)
def test_they_refuse_another_method_and_the_signed_out(
    view: str, as_coach: Client, as_nobody: Client, lesson: Lesson
):
    swing = factories.SwingFactory(clip__lesson=lesson, clip__ready=True)
    assert as_coach.get(address(view, swing)).status_code == 405
    assert as_nobody.post(address(view, swing)).status_code == 302


@pytest.mark.parametrize("who", ["as_other_coach", "as_other_student", "as_guardian"])
def test_strangers_see_no_swings(who: str, request: pytest.FixtureRequest, posted_lesson: Lesson):
    swing = factories.SwingFactory(clip__lesson=posted_lesson, clip__ready=True)
    client = request.getfixturevalue(who)
    assert client.get(reverse("clips:swings", args=[swing.clip_id])).status_code == 404
    add = reverse("clips:add_swing", args=[swing.clip_id])
    assert client.post(add, {"time_us": "1"}).status_code == 404
