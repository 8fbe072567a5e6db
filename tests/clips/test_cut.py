"""The cut task, with the real ffmpeg, and clips:cut, by which a coach asks for one."""

from __future__ import annotations

import datetime
import json
import subprocess
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from lessons.clips import cuts, cutting, tasks, times
from lessons.clips.cuts import cut_around, merged
from lessons.clips.models import Clip, Cut
from lessons.visits.models import Lesson
from media_tools.errors import ToolFailed, Unreadable
from portal.work.sending import sweep
from tests import factories
from tests.clips.conftest import FRAMES
from tests.clips.test_prepare import fails_with, files_under
from tests.servers import need
from tests.work.rest import rested

SWINGS = {"HX-Request": "true", "HX-Target": "swings"}


@pytest.fixture
def long_clip(lesson: Lesson) -> Clip:
    """A row of a clip of one minute."""
    return factories.ClipFactory(lesson=lesson, ready=True, duration_us=60_000_000)


@pytest.fixture
def cut(ready_clip: Clip) -> Cut:
    """A cut of the middle of the small film, that waits."""
    return factories.CutFactory(clip=ready_clip, begin_us=200_000, end_us=400_000)


def test_overlapping_spans_are_one_and_stay_within_the_clip():
    spans = [(40, 60), (-5, 10), (8, 20), (20, 25), (90, 120)]
    assert merged(spans, 100) == [(0, 25), (40, 60), (90, 100)]


def test_a_short_clip_is_one_cut_of_the_whole(ready_clip: Clip):
    cut = ready_clip.cuts.get()
    assert (cut.begin_us, cut.end_us) == (0, ready_clip.duration_us)
    assert cut.is_ready
    with cut.times.open() as file:
        assert json.load(file) == times.read(ready_clip)


def test_of_a_long_clip_the_swings_are_cut_and_no_part_twice(long_clip: Clip):
    for begin in (5_000_000, 7_500_000, 30_000_000):
        factories.SwingFactory(
            clip=long_clip,
            begin_us=begin,
            top_us=None,
            strike_us=None,
            finish_us=begin + 2_000_000,
        )
    for _ in range(2):
        cuts.want_cuts(long_clip)
    found = long_clip.cuts.values_list("begin_us", "end_us")
    assert list(found) == [(4_300_000, 10_200_000), (29_300_000, 32_700_000)]


def test_each_frame_of_a_cut_is_at_its_true_time(cut: Cut, stored_files: Path):
    tasks.cut(cut.pk)
    cut.refresh_from_db()
    assert cut.is_ready
    table = times.read(cut.clip)
    inside = [t for t in table if times.at(table, 200_000) <= t <= 400_000]
    # ffprobe of Debian's ffmpeg is the judge of what was written
    command = [need("ffprobe"), "-v", "error", "-select_streams", "v", "-of", "json"]
    command += ["-show_entries", "frame=pts_time", stored_files / cut.study.name]
    frames = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)["frames"]
    seen = [round(float(frame["pts_time"]) * 1e6) + cut.offset_us for frame in frames]
    assert len(seen) == len(inside) < FRAMES
    assert all(abs(a - b) <= 20 for a, b in zip(seen, inside, strict=True))


def test_a_cut_inside_a_bigger_one_goes_with_its_files(
    cut: Cut, stored_files: Path, django_capture_on_commit_callbacks
):
    tasks.cut(cut.pk)
    cut.refresh_from_db()
    names = cut.study.name, cut.times.name
    waiting = factories.CutFactory(clip=cut.clip, begin_us=250_000, end_us=300_000)
    beside = factories.CutFactory(clip=cut.clip, begin_us=390_000, end_us=700_000)
    bigger = factories.CutFactory(clip=cut.clip, begin_us=100_000, end_us=600_000)
    token = Cut.claim(waiting.pk)
    with django_capture_on_commit_callbacks(execute=True):
        tasks.cut(bigger.pk)
    left = set(cut.clip.cuts.exclude(begin_us=0).values_list("pk", flat=True))
    assert left == {bigger.pk, beside.pk}
    assert not any((stored_files / name).exists() for name in names)
    # the worker that was making a smaller one can't bring it back
    assert not Cut.settle(waiting.pk, token, Cut.State.READY)


def test_one_message_makes_all_that_wait_for_the_clip(cut: Cut):
    other = factories.CutFactory(clip=cut.clip, begin_us=500_000, end_us=600_000)
    tasks.cut(cut.pk)
    assert not Cut.objects.in_flight().exists()
    other.refresh_from_db()
    assert other.is_ready


def test_running_twice_and_five_messages_change_nothing(cut: Cut, stored_files: Path):
    tasks.cut(cut.pk)
    row, files = Cut.objects.values().get(pk=cut.pk), files_under(stored_files)
    for _ in range(5):
        tasks.cut(cut.pk)
    assert Cut.objects.values().get(pk=cut.pk) == row
    assert files_under(stored_files) == files


def test_it_leaves_a_cut_alone_that_another_worker_has(cut: Cut):
    Cut.claim(cut.pk)
    tasks.cut(cut.pk)
    cut.refresh_from_db()
    assert (cut.state, cut.attempts) == (Cut.State.MAKING, 1)


def test_a_worker_that_lost_the_lease_leaves_nothing_behind(
    cut: Cut, monkeypatch: pytest.MonkeyPatch, stored_files: Path
):
    before = files_under(stored_files)
    real = cutting.media.study

    def slow(*args: object, **kwargs: object) -> object:
        made = real(*args, **kwargs)
        lapsed = timezone.now() - datetime.timedelta(seconds=1)
        Cut.objects.filter(pk=cut.pk).update(lease_until=lapsed)
        assert Cut.claim(cut.pk)
        return made

    monkeypatch.setattr(cutting.media, "study", slow)
    tasks.cut(cut.pk)
    cut.refresh_from_db()
    assert cut.state == Cut.State.MAKING
    assert not cut.study
    assert files_under(stored_files) == before


def test_a_passing_fault_is_tried_three_times(cut: Cut, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(cutting.media, "study", fails_with(ToolFailed("It stopped.", "")))
    states = []
    for _ in range(3):
        tasks.cut(rested(cut))
        cut.refresh_from_db()
        states.append(cut.state)
    assert states == [Cut.State.WANTED, Cut.State.WANTED, Cut.State.FAILED]
    assert cut.may_pass_later
    assert cut.reason == "It stopped."


def test_a_fault_of_the_file_is_not_tried_again(cut: Cut, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(cutting.media, "study", fails_with(Unreadable("Damaged.", "")))
    tasks.cut(cut.pk)
    cut.refresh_from_db()
    assert (cut.state, cut.reason, cut.may_pass_later) == (Cut.State.FAILED, "Damaged.", False)


def test_an_original_that_is_gone_is_told(cut: Cut):
    default_storage.delete(cut.clip.original.name)
    tasks.cut(cut.pk)
    cut.refresh_from_db()
    assert cut.reason == cutting.LOST


def test_a_cut_that_takes_the_process_with_it_fails_in_the_end(cut: Cut):
    for _ in range(3):
        assert Cut.claim(cut.pk)
        Cut.objects.update(lease_until=timezone.now() - datetime.timedelta(seconds=1))
    tasks.cut(cut.pk)
    cut.refresh_from_db()
    assert (cut.state, cut.reason) == (Cut.State.FAILED, cutting.GIVEN_UP)


def test_the_sweep_sends_a_cut_that_was_never_sent(cut: Cut, no_worker: list[int]):
    no_worker.clear()
    Cut.objects.exclude(pk=cut.pk).delete()
    sweep()
    assert cut.pk in no_worker


def test_a_moment_outside_is_asked_for_once(
    as_coach: Client, long_clip: Clip, no_worker: list[int], django_capture_on_commit_callbacks
):
    address = reverse("clips:cut", args=[long_clip.pk])
    with django_capture_on_commit_callbacks(execute=True):
        for _ in range(2):
            answer = as_coach.post(address, {"time_us": "20000000"}, headers=SWINGS)
    cut = long_clip.cuts.get()
    assert (cut.begin_us, cut.end_us) == (18_000_000, 22_000_000)
    assert no_worker == [cut.pk]
    page = answer.content.decode()
    assert f'data-begin-us="{cut.begin_us}"' in page
    assert "every 2s" in page  # until it is made


@pytest.mark.parametrize("may_pass_later", [True, False])
def test_a_failed_cut_is_asked_for_anew_only_where_that_can_help(
    long_clip: Clip, may_pass_later: bool
):
    cut = factories.CutFactory(
        clip=long_clip,
        begin_us=0,
        end_us=9,
        state=Cut.State.FAILED,
        attempts=3,
        may_pass_later=may_pass_later,
    )
    assert cut_around(long_clip, 5) == cut
    cut.refresh_from_db()
    wanted = (Cut.State.WANTED, 0) if may_pass_later else (Cut.State.FAILED, 3)
    assert (cut.state, cut.attempts) == wanted
    assert long_clip.cuts.count() == 1


def test_a_cancelled_cut_loses_its_lease_and_is_made_when_asked_for(
    as_coach: Client, long_clip: Clip
):
    cut = factories.CutFactory(clip=long_clip, begin_us=0, end_us=9_000_000)
    token = Cut.claim(cut.pk)
    page = as_coach.post(
        reverse("clips:cancel_cut", args=[cut.pk]), headers=SWINGS
    ).content.decode()
    assert 'data-state="cancelled"' in page
    assert "every 2s" not in page
    assert not Cut.settle(cut.pk, token, Cut.State.READY)
    assert Cut.claim(cut.pk) is None
    factories.SwingFactory(clip=long_clip, begin_us=2_000_000, finish_us=4_000_000, top_us=None,
                           strike_us=None)  # fmt: skip
    cuts.want_cuts(long_clip)  # not by itself
    cut.refresh_from_db()
    assert cut.is_cancelled
    assert cut_around(long_clip, 5_000_000) == cut
    cut.refresh_from_db()
    assert cut.state == Cut.State.WANTED
    assert long_clip.cuts.count() == 1


def test_the_page_offers_to_cancel_a_cut_that_is_made(as_coach: Client, long_clip: Clip):
    cut = factories.CutFactory(clip=long_clip, begin_us=4_300_000, end_us=10_200_000)
    address = reverse("clips:cancel_cut", args=[cut.pk])
    page = reverse("clips:swings", args=[long_clip.pk])
    shown = as_coach.get(page).content.decode()
    assert address in shown
    assert "Making 4.3 to 10.2 s ready" in " ".join(shown.split())
    Cut.objects.update(state=Cut.State.READY)
    assert address not in as_coach.get(page).content.decode()


def test_a_ready_cut_can_not_be_cancelled(as_coach: Client, long_clip: Clip):
    cut = factories.CutFactory(clip=long_clip, state=Cut.State.READY)
    as_coach.post(reverse("clips:cancel_cut", args=[cut.pk]))
    cut.refresh_from_db()
    assert cut.is_ready


@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_cancelling_refuses_all_but_the_coach(
    who: str, request: pytest.FixtureRequest, long_clip: Clip
):
    cut = factories.CutFactory(clip=long_clip)
    address = reverse("clips:cancel_cut", args=[cut.pk])
    assert request.getfixturevalue(who).post(address).status_code == 404
    cut.refresh_from_db()
    assert cut.in_flight


def test_cancelling_refuses_another_method_and_the_signed_out(
    as_coach: Client, as_nobody: Client, long_clip: Clip
):
    address = reverse("clips:cancel_cut", args=[factories.CutFactory(clip=long_clip).pk])
    assert as_coach.get(address).status_code == 405
    assert as_nobody.post(address).status_code == 302


@pytest.mark.parametrize(
    ("time", "words"), [("", "is missing"), ("now", "no number"), ("-1", "begins at 0")]
)
def test_it_says_what_is_wrong_with_a_moment(
    as_coach: Client, long_clip: Clip, time: str, words: str
):
    answer = as_coach.post(reverse("clips:cut", args=[long_clip.pk]), {"time_us": time})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not long_clip.cuts.exists()


@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_it_refuses_all_but_the_coach(who: str, request: pytest.FixtureRequest, long_clip: Clip):
    answer = request.getfixturevalue(who).post(
        reverse("clips:cut", args=[long_clip.pk]), {"time_us": "5"}
    )
    assert answer.status_code == 404
    assert not long_clip.cuts.exists()


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, long_clip: Clip):
    assert as_nobody.post(reverse("clips:cut", args=[long_clip.pk])).status_code == 302


def test_it_refuses_another_method(as_coach: Client, long_clip: Clip):
    assert as_coach.get(reverse("clips:cut", args=[long_clip.pk])).status_code == 405
