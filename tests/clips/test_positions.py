"""clips:positions, which pulls a still of every position of a swing in one pass."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips import placing, pulling, swings, tasks, times
from lessons.clips.models import Clip, PlacedPosition, Position, Still, Swing
from lessons.clips.positions import positions_of
from media_tools.mannequin import read_frame_code
from portal.work.sending import sweep
from tests import factories
from tests.clips.test_pull import picture

SWINGS = {"HX-Request": "true", "HX-Target": "swings"}


def address(swing: Swing) -> str:
    return reverse("clips:positions", args=[swing.pk])


def test_ten_stills_are_asked_for_by_one_message(
    as_coach: Client, timed_swing: Swing, no_worker: list[int], django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        answer = as_coach.post(address(timed_swing), headers=SWINGS)
    pulled = timed_swing.stills.order_by("pk")
    assert [still.position for still in pulled] == Position.values
    table = times.read(timed_swing.clip)
    assert [still.time_us for still in pulled] == [
        times.at(table, here.time_us) for here in positions_of(timed_swing)
    ]
    assert no_worker == [pulled[0].pk]
    sweep()  # the others are no forgotten ones
    assert no_worker == [pulled[0].pk]
    assert answer["HX-Trigger"] == "stills-changed"
    assert "Undo all positions" in answer.content.decode()


def test_the_worker_pulls_all_ten_in_one_pass_over_the_file(
    ready_clip: Clip, monkeypatch: pytest.MonkeyPatch
):
    swing = factories.SwingFactory(
        clip=ready_clip, begin_us=0, top_us=400_000, strike_us=600_000, finish_us=790_000
    )
    pulled = placing.pull_all(swing)
    passes = []
    real = pulling.stills.take

    def counted(path: Path, wanted: list[int], source: object) -> list:
        passes.append(len(wanted))
        return real(path, wanted, source)

    monkeypatch.setattr(pulling.stills, "take", counted)
    tasks.pull(pulled[0].pk)
    assert passes == [10]
    # The film draws each frame's number into the frame: what is read is the truth
    table = times.read(ready_clip)
    for still in pulled:
        assert read_frame_code(picture(still)) == table.index(still.time_us)


def test_guesses_stay_guesses(as_coach: Client, timed_swing: Swing):
    placing.pull_all(timed_swing)
    assert not PlacedPosition.objects.exists()
    page = as_coach.get(reverse("clips:stills", args=[timed_swing.clip_id])).content.decode()
    assert page.count("unconfirmed") == 10
    placing.place(timed_swing, "P5", 1_400_000)
    page = as_coach.get(reverse("clips:stills", args=[timed_swing.clip_id])).content.decode()
    assert page.count("unconfirmed") == 9


def test_asking_again_pulls_only_what_has_moved(
    timed_swing: Swing, no_worker: list[int], django_capture_on_commit_callbacks
):
    placing.pull_all(timed_swing)
    placing.place(timed_swing, "P7", 1_450_000)
    Still.objects.update(state=Still.State.READY)
    with django_capture_on_commit_callbacks(execute=True):
        placing.pull_all(timed_swing)
    new = set(Still.objects.filter(state=Still.State.WANTED).values_list("position", flat=True))
    # guesses on both sides of impact lie elsewhere now; the backswing and impact itself do not
    assert new
    assert new <= {"P5", "P6", "P8", "P9"}
    assert timed_swing.stills.current().count() == 10
    assert len(no_worker) == 1


def test_of_a_practice_swing_it_pulls_what_can_be_said(timed_swing: Swing):
    Swing.objects.update(strike_us=None, is_practice=True)
    assert [still.position for still in placing.pull_all(timed_swing)] == [
        "P1", "P2", "P3", "P4", "P10",
    ]  # fmt: skip


def test_a_swing_that_stills_were_pulled_of_outlives_another_search(timed_swing: Swing):
    placing.pull_all(timed_swing)
    swings.take_found(timed_swing.clip, [])
    assert Swing.objects.filter(pk=timed_swing.pk).exists()


def test_a_clip_that_is_not_ready_gives_none(as_coach: Client, timed_swing: Swing):
    Swing.objects.update(removed_at=timed_swing.created_at)
    assert as_coach.post(address(timed_swing)).status_code == 404


@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_it_refuses_all_but_the_coach(who: str, request: pytest.FixtureRequest, timed_swing: Swing):
    assert request.getfixturevalue(who).post(address(timed_swing)).status_code == 404
    assert not Still.objects.exists()


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, timed_swing: Swing):
    assert as_nobody.post(address(timed_swing)).status_code == 302


def test_it_refuses_another_method(as_coach: Client, timed_swing: Swing):
    assert as_coach.get(address(timed_swing)).status_code == 405
