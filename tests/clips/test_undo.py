"""clips:undo, which takes back what was done to the positions of a swing, one after the other."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips import history, placing
from lessons.clips.models import Still, Swing
from tests import factories
from tests.clips.test_place import mark, stills

SWINGS = {"HX-Request": "true", "HX-Target": "swings"}


def address(swing: Swing) -> str:
    return reverse("clips:undo", args=[swing.pk])


def all_of(swing: Swing) -> dict[str, Any]:
    """What the page shows of a swing."""
    swing.refresh_from_db()
    return {
        "swing": Swing.objects.values().get(pk=swing.pk),
        "placed": dict(swing.placed.values_list("position", "time_us")),
        "stills": stills(swing),
    }


def test_every_step_can_be_taken_back_to_the_first(timed_swing: Swing):
    seen = [all_of(timed_swing)]
    for position, time_us in [("P5", 1_400_000), ("P5", 1_450_000), ("P4", 1_300_000),
                              ("P5", 1_400_000), ("P7", 1_550_000)]:  # fmt: skip
        placing.place(timed_swing, position, time_us)
        seen.append(all_of(timed_swing))
    placing.pull_all(timed_swing)
    while seen:
        assert history.undo(timed_swing)
        assert all_of(timed_swing) == seen.pop()
    assert history.undo(timed_swing) == ""


def test_the_page_says_what_it_takes_back(as_coach: Client, timed_swing: Swing):
    placing.place(timed_swing, "P5", 1_400_000)
    placing.place(timed_swing, "P4", 1_300_000)
    answer = as_coach.post(address(timed_swing), headers=SWINGS)
    assert answer["HX-Trigger"] == "stills-changed"
    assert "Undo P5 at 1.400 s" in answer.content.decode()
    assert 'id="undo-' not in as_coach.post(address(timed_swing), headers=SWINGS).content.decode()


def test_what_was_drawn_on_a_still_meanwhile_is_kept(timed_swing: Swing):
    still = placing.place(timed_swing, "P5", 1_400_000)
    mark(still)
    history.undo(timed_swing)
    assert not timed_swing.placed.exists()
    assert stills(timed_swing) == [("P5", 1_400_000)]


def test_a_still_that_was_there_before_goes_back_to_the_clip_alone(timed_swing: Swing):
    taken = factories.StillFactory(clip=timed_swing.clip, position="P5", time_us=1_400_000)
    placing.place(timed_swing, "P5", 1_400_000)
    history.undo(timed_swing)
    taken.refresh_from_db()
    assert (taken.swing, taken.removed_at) == (None, None)


def test_a_still_removed_by_hand_stays_removed(timed_swing: Swing):
    first = placing.place(timed_swing, "P5", 1_400_000)
    first.remove()
    placing.place(timed_swing, "P5", 1_450_000)
    history.undo(timed_swing)
    assert stills(timed_swing) == []


def test_retired_stills_offer_no_undo_of_their_own(as_coach: Client, timed_swing: Swing):
    placing.place(timed_swing, "P5", 1_400_000)
    placing.place(timed_swing, "P5", 1_450_000)
    page = as_coach.get(reverse("clips:stills", args=[timed_swing.clip_id])).content.decode()
    assert "Undo" not in page


def test_only_the_latest_fifty_are_kept(timed_swing: Swing, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(history, "KEPT", 3)
    for k in range(5):
        placing.place(timed_swing, "P5", 1_300_000 + k * 20_000)
    assert timed_swing.changes.count() == 3


def test_with_nothing_to_take_back_it_says_so(as_coach: Client, timed_swing: Swing):
    answer = as_coach.post(address(timed_swing), headers=SWINGS)
    assert answer.status_code == 422
    assert "nothing left to take back" in answer.content.decode()


@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_it_refuses_all_but_the_coach(who: str, request: pytest.FixtureRequest, timed_swing: Swing):
    placing.place(timed_swing, "P5", 1_400_000)
    assert request.getfixturevalue(who).post(address(timed_swing)).status_code == 404
    assert Still.objects.current().count() == 1


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, timed_swing: Swing):
    assert as_nobody.post(address(timed_swing)).status_code == 302


def test_it_refuses_another_method(as_coach: Client, timed_swing: Swing):
    assert as_coach.get(address(timed_swing)).status_code == 405
