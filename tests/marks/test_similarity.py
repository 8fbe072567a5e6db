"""Two matching points bring marks to their size and place; what is brought over stays measured."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Page
from scipy.linalg import orthogonal_procrustes

from tests.marks.test_same_drawing import canvas  # noqa: F401 - a page with the site's modules

pytestmark = pytest.mark.browser

FIT = """async ([from, to, points]) => {
  const { similarity } = await import("/similarity.js");
  return points.map(similarity(from, to));
}"""


def brought(page: Page, *case: Any) -> np.ndarray:
    page.goto("http://marks.test/")
    return np.array(page.evaluate(FIT, list(case)))


def test_it_is_the_best_fit_of_two_pairs(canvas: Page):  # noqa: F811 - the fixture
    """Source: scipy.linalg.orthogonal_procrustes; scale as the ratio of the pairs' sizes."""
    random = np.random.default_rng(3)
    for _ in range(40):
        pair, target = random.uniform(0, 1900, (2, 2, 2))
        points = random.uniform(0, 1900, (6, 2))
        centred, wanted = pair - pair.mean(axis=0), target - target.mean(axis=0)
        # Two points fit a mirrored turn as well: the third keeps the hand
        upright = [np.vstack([p, [-p[1, 1], p[1, 0]]]) for p in (centred, wanted)]
        turn, _ = orthogonal_procrustes(*upright)
        size = np.linalg.norm(wanted) / np.linalg.norm(centred)
        expected = size * (points - pair.mean(axis=0)) @ turn + target.mean(axis=0)
        made = brought(canvas, pair.tolist(), target.tolist(), points.tolist())
        assert made == pytest.approx(expected, abs=1e-6)


def test_a_pair_without_length_only_moves(canvas: Page):  # noqa: F811 - the fixture
    made = brought(canvas, [[5, 5], [5, 5]], [[15, 25], [90, 90]], [[0, 0], [7, 9]])
    assert made.tolist() == [[10, 20], [17, 29]]


def test_the_rings_begin_on_the_furthest_points(canvas: Page):  # noqa: F811 - the fixture
    """Against all pairs in numpy."""
    points = np.random.default_rng(9).uniform(0, 900, (30, 2))
    canvas.goto("http://marks.test/")
    script = 'async (p) => (await import("/similarity.js")).furthest(p)'
    found = np.array(canvas.evaluate(script, points.tolist()))
    gaps = np.linalg.norm(points[:, None] - points[None], axis=2)
    assert np.linalg.norm(found[0] - found[1]) == pytest.approx(gaps.max())
