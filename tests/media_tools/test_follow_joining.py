"""Two ways over the same frames made one: `media_tools.follow.joining`."""

from __future__ import annotations

import math

import pytest

from media_tools.follow.joining import CLAIMED, NOWHERE, joined
from media_tools.follow.pose import Pose
from media_tools.follow.walk import Step

SIZE = (100.0, 100.0)
MOST = CLAIMED * 100
COUNT = 9


def way(y: float, off_px: float) -> list[Step]:
    """Steps to the right at one height, each off by so much at most."""
    return [Step(Pose(10.0 * n, y), off_px) for n in range(COUNT)]


def heights(steps: list[Step]) -> list[float | None]:
    return [step.pose.y if step.pose else None for step in steps]


def test_what_one_way_alone_would_not_claim_is_claimed_where_both_agree():
    found = joined(way(0, MOST * 3), way(6, MOST * 3), SIZE)
    # a tenth of the way from the one to the other a frame
    assert heights(found) == pytest.approx([0.6 * (n + 1) for n in range(COUNT)])


def test_where_both_agree_the_place_may_still_be_off_by_a_tenth_of_the_patch():
    found = joined(way(0, MOST * 3), way(6, MOST * 3), SIZE)
    assert {step.off_px for step in found} == {10.0}
    assert all(0.5 <= step.confidence < 0.51 for step in found)


def test_what_no_way_would_claim_is_nowhere_where_they_lead_apart():
    assert joined(way(0, MOST * 3), way(26, MOST * 3), SIZE) == [NOWHERE] * COUNT


def test_a_way_that_is_claimed_wins_over_one_that_is_not():
    assert heights(joined(way(0, 2), way(6, MOST * 3), SIZE)) == [0] * COUNT
    assert heights(joined(way(0, MOST * 3), way(6, 2), SIZE)) == [6] * COUNT


def test_two_claimed_ways_are_changed_over_where_they_meet_last():
    forwards = way(0, 2)
    backwards = [Step(Pose(10.0 * n, 0 if n <= 4 else 40), 2) for n in range(COUNT)]
    assert heights(joined(forwards, backwards, SIZE)) == [0] * 5 + [40] * 4


def test_two_claimed_ways_that_lead_apart_claim_nothing():
    assert joined(way(0, 2), way(40, 2), SIZE) == [NOWHERE] * COUNT


def test_a_lost_way_leaves_the_other():
    found = joined([NOWHERE] * COUNT, way(6, 2), SIZE)
    assert heights(found) == [6] * COUNT
    assert joined([NOWHERE] * COUNT, [NOWHERE] * COUNT, SIZE) == [NOWHERE] * COUNT


def test_confidence_falls_with_how_far_off_a_step_may_be():
    sure, unsure, hardly = (Step(Pose(0, 0), off_px).confidence for off_px in (0, 3, 30))
    assert sure == 1
    assert 0.7 < unsure < sure
    assert hardly == pytest.approx(0.5)
    assert NOWHERE.confidence == 0
    assert math.isinf(NOWHERE.off_px)
