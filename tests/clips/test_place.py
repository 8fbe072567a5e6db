"""clips:place, by which the shown frame becomes a position of a swing and its still is pulled."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips import history, placing, swings, times
from lessons.clips.models import PlacedPosition, Position, Still, Swing
from lessons.clips.positions import positions_of
from lessons.marks.service import save_marks
from lessons.recaps.models import RecapStill
from tests import factories

SWINGS = {"HX-Request": "true", "HX-Target": "swings"}
# The swing of the tests: 0.5, 1.25, 1.5 and 2.2 s
P5_GUESS = 1_250_000 + 0.562 * 250_000


def address(swing: Swing) -> str:
    return reverse("clips:place", args=[swing.pk])


def at(swing: Swing, position: str) -> int:
    return next(here.time_us for here in positions_of(swing) if here.position == position)


def stills(swing: Swing) -> list[tuple[str, int]]:
    return list(swing.stills.current().values_list("position", "time_us"))


def test_the_shown_frame_becomes_the_position_and_its_still_is_pulled_at_once(
    as_coach: Client, timed_swing: Swing, no_worker: list[int], django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        answer = as_coach.post(
            address(timed_swing), {"position": "P5", "time_us": "1400123"}, headers=SWINGS
        )
    frame = times.at(times.read(timed_swing.clip), 1_400_123)
    assert timed_swing.placed.get().time_us == frame == 1_400_000
    still = timed_swing.stills.get()
    assert (still.position, still.time_us, still.state) == ("P5", frame, Still.State.WANTED)
    assert no_worker == [still.pk]
    assert answer["HX-Trigger"] == "stills-changed"
    page = answer.content.decode()
    assert 'data-us="1400000"' in page
    assert 'data-state="placed"' in page
    assert "Undo P5 at 1.400 s" in page


def test_confirming_the_same_frame_again_changes_nothing(timed_swing: Swing):
    first = placing.place(timed_swing, "P5", 1_400_000)
    assert placing.place(timed_swing, "P5", 1_410_000) == first
    assert Still.objects.count() == 1
    assert timed_swing.changes.count() == 1


def test_guesses_follow_what_was_placed(timed_swing: Swing):
    assert at(timed_swing, "P5") == P5_GUESS
    placing.place(timed_swing, "P6", 1_400_000)
    assert at(timed_swing, "P5") < P5_GUESS
    assert [here.position for here in positions_of(timed_swing) if here.is_placed] == ["P6"]


def test_moving_a_position_retires_the_still_before(timed_swing: Swing):
    first = placing.place(timed_swing, "P5", 1_400_000)
    placing.place(timed_swing, "P5", 1_450_000)
    first.refresh_from_db()
    assert first.is_retired
    assert stills(timed_swing) == [("P5", 1_450_000)]


def test_a_position_that_comes_back_brings_its_still_back(timed_swing: Swing):
    first = placing.place(timed_swing, "P5", 1_400_000)
    Still.objects.update(state=Still.State.READY)
    placing.place(timed_swing, "P5", 1_450_000)
    assert placing.place(timed_swing, "P5", 1_400_000) == first
    assert stills(timed_swing) == [("P5", 1_400_000)]


def mark(still: Still) -> None:
    line = {
        "id": "6f1dc5be-65cd-4f5a-9f60-1f0f3f0a8f11", "kind": "line", "colour": "#0072B2",
        "points": [[1, 1], [5, 5]], "text": "",
    }  # fmt: skip
    Still.objects.filter(pk=still.pk).update(state=Still.State.READY, width_px=64, height_px=48)
    still.refresh_from_db()
    save_marks(still, 0, [line])


def put_in_a_recap(still: Still) -> None:
    recap = factories.RecapFactory(lesson=still.clip.lesson)
    RecapStill.objects.create(recap=recap, still=still)


@pytest.mark.parametrize("use", [mark, put_in_a_recap])
def test_a_still_that_is_used_is_never_retired(timed_swing: Swing, use):
    first = placing.place(timed_swing, "P5", 1_400_000)
    use(first)
    placing.place(timed_swing, "P5", 1_450_000)
    assert stills(timed_swing) == [("P5", 1_400_000), ("P5", 1_450_000)]


def test_a_used_still_says_that_its_position_has_moved(as_coach: Client, timed_swing: Swing):
    first = placing.place(timed_swing, "P5", 1_400_000)
    put_in_a_recap(first)
    history.undo(timed_swing)  # kept, as it is used
    placing.pull_all(timed_swing)
    assert [at for name, at in stills(timed_swing) if name == "P5"] == [1_383_333, 1_400_000]
    page = as_coach.get(reverse("clips:stills", args=[timed_swing.clip_id])).content.decode()
    cards = page.split('class="still-card"')[1:]
    [moved] = [card for card in cards if "moved since" in card]
    assert f'data-time-us="{first.time_us}"' in moved


def test_a_still_with_a_caption_is_left_alone(timed_swing: Swing):
    kept = factories.StillFactory(
        clip=timed_swing.clip, swing=timed_swing, position="P5", caption="Hands", time_us=1_300_000
    )
    placing.place(timed_swing, "P5", 1_400_000)
    kept.refresh_from_db()
    assert kept.removed_at is None


def test_a_still_taken_before_the_swing_was_known_becomes_its_still(timed_swing: Swing):
    taken = factories.StillFactory(clip=timed_swing.clip, position="P5", time_us=1_400_000)
    assert placing.place(timed_swing, "P5", 1_400_000) == taken
    assert Still.objects.get().swing == timed_swing


@pytest.mark.parametrize(
    ("position", "field", "time_us"),
    [("P1", "begin_us", 550_000), ("P4", "top_us", 1_300_000), ("P7", "strike_us", 1_450_000),
     ("P10", "finish_us", 2_300_000)],
)  # fmt: skip
def test_the_swing_s_own_moment_moves_with_its_position(
    timed_swing: Swing, position: str, field: str, time_us: int
):
    placing.place(timed_swing, position, time_us)
    timed_swing.refresh_from_db()
    assert getattr(timed_swing, field) == time_us
    assert timed_swing.is_corrected


def test_a_strike_heard_inside_the_frame_stays_as_exact_as_it_was_heard(timed_swing: Swing):
    Swing.objects.update(strike_us=1_504_321)
    placing.place(timed_swing, "P7", 1_505_000)
    timed_swing.refresh_from_db()
    assert timed_swing.strike_us == 1_504_321
    assert not timed_swing.is_corrected
    assert timed_swing.placed.get().time_us == 1_500_000


def test_a_practice_swing_that_gets_an_impact_is_none_any_more(timed_swing: Swing):
    Swing.objects.update(strike_us=None, is_practice=True)
    placing.place(timed_swing, "P7", 1_500_000)
    timed_swing.refresh_from_db()
    assert not timed_swing.is_practice
    assert [here.position for here in positions_of(timed_swing)] == Position.values


def test_without_a_strike_what_can_be_said_is_listed_and_the_rest_left_out(timed_swing: Swing):
    Swing.objects.update(strike_us=None)
    timed_swing.refresh_from_db()
    listed = [here.position for here in positions_of(timed_swing)]
    assert listed == ["P1", "P2", "P3", "P4", "P10"]


def test_what_is_not_proposed_is_fainter_and_says_why(as_coach: Client, timed_swing: Swing):
    Swing.objects.update(strike_us=None, is_practice=True)
    page = as_coach.get(reverse("clips:swings", args=[timed_swing.clip_id])).content.decode()
    assert page.count('class="button place unknown"') == 5
    words = " ".join(page.split())
    assert (
        "A practice swing has no strike. Not proposed: P5, P6, P7, P8, P9, as P7 is not known"
        in words
    )


def test_a_found_strike_out_of_order_does_not_mislead_the_others(timed_swing: Swing):
    Swing.objects.update(strike_us=2_500_000)
    timed_swing.refresh_from_db()
    assert "P7" not in {here.position for here in positions_of(timed_swing)}


def test_a_swing_with_a_placed_position_outlives_another_search(timed_swing: Swing):
    placing.place(timed_swing, "P2", 900_000)
    swings.take_found(timed_swing.clip, [])
    assert Swing.objects.filter(pk=timed_swing.pk).exists()


@pytest.mark.parametrize(
    ("position", "time_us", "words"),
    [
        ("P3", "1300000", "P3 comes before P4. Step to an earlier frame, or move P4 first."),
        ("P5", "1200000", "P5 comes after P4. Step to a later frame, or move P4 first."),
        ("P1", "1700000", "P1 comes before P4"),
        ("P4", "90000", "P4 comes after P1"),
        ("P10", "1400000", "P10 comes after P7"),
        ("P5", "99000000", "outside of the clip"),
        ("P11", "1400000", "from P1 to P10"),
        ("", "1400000", "from P1 to P10"),
        ("P5", "", "is missing"),
        ("P5", "soon", "no number"),
    ],
)
def test_it_says_what_is_wrong_and_changes_nothing(
    as_coach: Client, timed_swing: Swing, position: str, time_us: str, words: str
):
    before = Swing.objects.values().get(pk=timed_swing.pk)
    answer = as_coach.post(
        address(timed_swing), {"position": position, "time_us": time_us}, headers=SWINGS
    )
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert Swing.objects.values().get(pk=timed_swing.pk) == before
    assert not PlacedPosition.objects.exists()
    assert not Still.objects.exists()


def test_it_refuses_a_place_before_another_placed_one(timed_swing: Swing):
    placing.place(timed_swing, "P2", 900_000)
    with pytest.raises(swings.NotPossible, match="P3 comes after P2"):
        placing.place(timed_swing, "P3", 905_000)


@pytest.mark.parametrize("act", [lambda swing: placing.place(swing, "P5", 1_400_000),
                                 placing.pull_all])  # fmt: skip
def test_a_swing_that_was_found_anew_meanwhile_is_told(timed_swing: Swing, act):
    Swing.objects.all().delete()
    with pytest.raises(swings.NotPossible, match="found anew meanwhile"):
        act(timed_swing)


def test_without_htmx_it_leads_back_to_the_clip(as_coach: Client, timed_swing: Swing):
    answer = as_coach.post(address(timed_swing), {"position": "P5", "time_us": "1400000"})
    assert answer["Location"] == reverse("clips:clip", args=[timed_swing.clip_id])


@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_it_refuses_all_but_the_coach(who: str, request: pytest.FixtureRequest, timed_swing: Swing):
    data = {"position": "P5", "time_us": "1400000"}
    assert request.getfixturevalue(who).post(address(timed_swing), data).status_code == 404
    assert not PlacedPosition.objects.exists()


def test_it_sends_the_signed_out_to_sign_in(as_nobody: Client, timed_swing: Swing):
    assert as_nobody.post(address(timed_swing)).status_code == 302


def test_it_refuses_another_method(as_coach: Client, timed_swing: Swing):
    assert as_coach.get(address(timed_swing)).status_code == 405
