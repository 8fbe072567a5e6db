"""Angles, against a table and against scipy's rotation between two vectors."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from lessons.marks.geometry import angle_deg, sweep_rad, whole


@pytest.mark.parametrize(
    ("first", "second", "degrees"),
    [
        ((1, 0), (0, 1), 90),
        ((1, 0), (1, 0), 0),
        ((1, 0), (-1, 0), 180),
        ((2, 0), (1, 1), 45),
        ((1, 0), (1, np.sqrt(3)), 60),
        ((3, 0), (-1, np.sqrt(3)), 120),
        # The 3-4-5 triangle's smaller angle
        ((4, 0), (4, 3), 36.86989764584402),
    ],
)
def test_known_angles(first: tuple[float, float], second: tuple[float, float], degrees: float):
    corner = (500.0, -20.0)
    arms = [(corner[0] + x, corner[1] + y) for x, y in (first, second)]
    assert angle_deg(arms[0], corner, arms[1]) == pytest.approx(degrees, abs=1e-9)
    assert angle_deg(arms[1], corner, arms[0]) == pytest.approx(degrees, abs=1e-9)


def test_it_agrees_with_scipy():
    """Source: scipy.spatial.transform, the angle of the rotation that turns one arm to another."""
    random = np.random.default_rng(7)
    for _ in range(200):
        first, corner, second = random.uniform(0, 2000, (3, 2))
        arms = [np.append(arm - corner, 0.0) for arm in (first, second)]
        turn, _ = Rotation.align_vectors([arms[1]], [arms[0]])
        expected = np.degrees(turn.magnitude())
        assert angle_deg(tuple(first), tuple(corner), tuple(second)) == pytest.approx(
            expected, abs=1e-5
        )


def test_an_angle_near_zero_is_exact():
    """Where the arc cosine of a dot product would say 0: a third of a second of arc."""
    assert angle_deg((1e6, 0), (0, 0), (1e6, 1)) == pytest.approx(np.degrees(1e-6), rel=1e-12)


def test_an_arm_without_length_makes_no_angle():
    assert angle_deg((5, 5), (5, 5), (9, 9)) == 0


def test_the_sweep_turns_the_shorter_way():
    assert sweep_rad((1, 0), (0, 0), (0, 1)) == pytest.approx(np.pi / 2)
    assert sweep_rad((0, 1), (0, 0), (1, 0)) == pytest.approx(-np.pi / 2)
    assert sweep_rad((1, 0), (0, 0), (-1, -0.0)) == pytest.approx(np.pi)
    assert sweep_rad((1, -0.0), (0, 0), (-1, 0)) == pytest.approx(np.pi)


@pytest.mark.parametrize(("value", "expected"), [(0.5, 1), (1.5, 2), (2.5, 3), (2.49, 2), (0, 0)])
def test_halves_are_rounded_up(value: float, expected: int):
    assert whole(value) == expected
