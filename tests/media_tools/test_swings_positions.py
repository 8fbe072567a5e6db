"""Where a swing's ten positions are proposed."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from media_tools.mannequin import SwingSpec, swinger
from media_tools.mannequin.truth import position_times_s
from media_tools.swings import POSITIONS, Origin, proposed

BEGIN, TOP, STRIKE, FINISH = 1_000_000, 1_900_000, 2_200_000, 3_000_000

# Medians and quartiles of 642 slow-motion clips, computed from the event labels of GolfDB
# (McNally et al., CVPR Workshops 2019, arXiv 1903.06528), verified: the share of the stretch
GOLFDB = {
    "P2": (BEGIN, TOP, 0.495, 0.459, 0.536),
    "P3": (BEGIN, TOP, 0.683, 0.642, 0.726),
    "P5": (TOP, STRIKE, 0.562, 0.516, 0.606),
    "P8": (STRIKE, FINISH, 0.119, 0.105, 0.137),
}


def times(found: dict) -> dict[str, int]:
    return {name: here.time_us for name, here in found.items()}


@pytest.mark.parametrize("position", GOLFDB)
def test_a_guess_lies_at_the_median_of_labelled_swings(position: str) -> None:
    start, end, median, low, high = GOLFDB[position]
    found = proposed(BEGIN, TOP, STRIKE, FINISH)[position]
    share = (found.time_us - start) / (end - start)
    assert share == pytest.approx(median, abs=1e-6)
    assert low < share < high
    assert found.is_guess
    assert found.origin == Origin.USUAL


def test_the_four_moments_of_the_swing_are_four_positions() -> None:
    found = proposed(BEGIN, TOP, STRIKE, FINISH)
    assert list(found) == list(POSITIONS)
    for name, time_us in (("P1", BEGIN), ("P4", TOP), ("P7", STRIKE), ("P10", FINISH)):
        assert found[name].time_us == time_us
        assert not found[name].is_guess


@pytest.mark.parametrize("position", ["P6", "P9"])
def test_it_says_which_proportions_are_not_measured(position: str) -> None:
    # GolfDB labels neither; half way to the ball and the same pace after it, no source
    assert proposed(BEGIN, TOP, STRIKE, FINISH)[position].origin == Origin.BETWEEN


@pytest.mark.parametrize(("release", "plane_deg"), [(0.0, 0.0), (0.4, 6.0), (0.0, -6.0)])
def test_guesses_come_near_the_truth_of_a_jointed_figure(release: float, plane_deg: float) -> None:
    # Each by its definition (shaft or arm level) on the figure's own joints: a check of the order
    # of size only, as the figure's keys follow the same labels
    truth = position_times_s(swinger(), SwingSpec(release=release, plane_deg=plane_deg))
    us = {name: round(time_s * 1e6) for name, time_s in truth.items()}
    found = proposed(us["P1"], us["P4"], us["P7"], us["P10"])
    assert all(abs(found[name].time_us - us[name]) < 60_000 for name in POSITIONS)


@pytest.mark.parametrize("after_s", [0.25, 0.4, 1.5])
def test_a_finish_found_early_or_late_does_not_mislead_p8(after_s: float) -> None:
    # P10 comes 2.48 (2.16 to 2.89) downswings after P7 and P8 at 0.119 (0.105 to 0.137) of that:
    # medians and quartiles of the same clips. P8 then comes 0.23 to 0.40 downswings after P7
    found = proposed(BEGIN, TOP, STRIKE, STRIKE + round(after_s * 1e6))
    downswings = (found["P8"].time_us - STRIKE) / (STRIKE - TOP)
    assert 2.16 * 0.105 < downswings < 2.89 * 0.137
    assert found["P10"].time_us == STRIKE + round(after_s * 1e6)
    assert list(times(found).values()) == sorted(times(found).values())


def test_a_placed_finish_is_taken_as_it_is() -> None:
    end = STRIKE + 1_500_000
    found = proposed(BEGIN, TOP, STRIKE, FINISH, {"P10": end})
    assert found["P8"].time_us == round(STRIKE + 0.119 * 1_500_000)


def test_guesses_lie_between_what_a_person_placed() -> None:
    plain = times(proposed(BEGIN, TOP, STRIKE, FINISH))
    found = proposed(BEGIN, TOP, STRIKE, FINISH, {"P2": plain["P2"] + 90_000})
    assert found["P2"].origin == Origin.PLACED
    # P3 keeps its share of what is left from P2 to P4
    share = (0.683 - 0.495) / (1 - 0.495)
    p2 = found["P2"].time_us
    assert found["P3"].time_us == pytest.approx(p2 + share * (TOP - p2), abs=1)
    assert {name: found[name].time_us for name in POSITIONS[3:]} == {
        name: plain[name] for name in POSITIONS[3:]
    }


def test_without_a_strike_nothing_is_guessed_after_the_top() -> None:
    assert list(proposed(BEGIN, TOP, None, FINISH)) == ["P1", "P2", "P3", "P4", "P10"]


def test_without_a_top_nothing_is_guessed_before_the_strike() -> None:
    assert list(proposed(BEGIN, None, STRIKE, FINISH)) == ["P1", "P7", "P8", "P9", "P10"]


def test_a_placed_position_lets_its_neighbours_be_guessed() -> None:
    found = proposed(BEGIN, TOP, None, FINISH, {"P6": 2_100_000})
    assert list(found) == ["P1", "P2", "P3", "P4", "P5", "P6", "P10"]
    assert TOP < found["P5"].time_us < 2_100_000


def test_it_refuses_a_position_that_is_none() -> None:
    with pytest.raises(ValueError, match="P11"):
        proposed(BEGIN, TOP, STRIKE, FINISH, {"P11": 5})


def test_it_refuses_times_out_of_order() -> None:
    with pytest.raises(ValueError, match="follow each other"):
        proposed(BEGIN, TOP, STRIKE, FINISH, {"P5": STRIKE + 1})


def test_a_position_placed_after_the_usual_finish_is_followed_by_the_found_one() -> None:
    found = times(proposed(100, 400, 700, 1771, {"P8": 1571}))
    assert 1571 < found["P9"] < 1771


@example(gaps=[*[100] * 7, 871, 100, 100], named={"P1", "P2", "P3", "P8"})
@given(
    gaps=st.lists(st.integers(100, 5_000_000), min_size=10, max_size=10),
    named=st.sets(st.sampled_from(POSITIONS)),
)
def test_positions_always_follow_each_other(gaps: list[int], named: set[str]) -> None:
    at = dict(zip(POSITIONS, (sum(gaps[: k + 1]) for k in range(10)), strict=True))
    placed = {name: at[name] for name in named}
    found = times(proposed(at["P1"], at["P4"], at["P7"], at["P10"], placed))
    assert list(found) == list(POSITIONS)
    assert sorted(found.values()) == list(found.values())
