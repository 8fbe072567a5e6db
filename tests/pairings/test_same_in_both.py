"""Python and JavaScript show the same moment and lay pictures alike: one table, and chance."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Route
from scipy.interpolate import interp1d

import lessons.pairings
from media_tools.beside import Picture, Placed, warps, windows
from tests.marks.conftest import browser_type_launch_args  # noqa: F401 - Debian's Chromium
from tests.pairings.cases import LAID, TIMES, Laid, Times

MODULES = Path(lessons.pairings.__file__).parent / "static/pairings"
POSITIONS = [f"P{n}" for n in range(1, 11)]

SHOWN = """async (cases) => {
  const { warps } = await import("/warp.js");
  return cases.map(([swings, at, byPosition, clocks]) =>
    warps(swings, at, byPosition).map((warp) => clocks.map((clock) =>
      [warp.clipUs(clock), warp.clockUs(warp.clipUs(clock))])));
}"""
WINDOWS = """async (cases) => {
  const { windows } = await import("/windows.js");
  return cases.map(([pictures, zoom]) => windows(pictures, zoom));
}"""


@pytest.fixture(scope="module")
def modules(browser: Browser) -> Iterator[Page]:
    """A page that can import the pairing's modules."""
    page = browser.new_page()

    def answer(route: Route) -> None:
        name = route.request.url.rpartition("/")[2]
        if name.endswith(".js"):
            route.fulfill(body=(MODULES / name).read_text(), content_type="text/javascript")
        else:
            route.fulfill(body="<!doctype html><body></body>", content_type="text/html")

    page.route("http://pairings.test/**", answer)
    page.goto("http://pairings.test/")
    yield page
    page.close()


def for_js(swings: Sequence[Placed]) -> list[dict[str, Any]]:
    return [
        {"alignedUs": s.aligned_us, "positions": dict(s.positions), "slowdown": s.slowdown}
        for s in swings
    ]


def picture_for_js(picture: Picture) -> dict[str, Any]:
    size = {"width": picture.width_px, "height": picture.height_px}
    return {**size, "mirrored": picture.mirrored, "points": picture.points}


@pytest.mark.parametrize("case", TIMES, ids=lambda case: case.name)
def test_python_shows_what_the_table_says(case: Times):
    found = warps(case.swings, case.at, by_position=case.by_position)
    if case.at != "P7":  # the table's swings are lined up at impact
        moved = [Placed(s.positions[case.at], s.positions, s.slowdown) for s in case.swings]
        found = warps(moved, case.at, by_position=case.by_position)
    assert tuple(warp.clip_us(case.clock_us) for warp in found) == case.shown_us


@pytest.mark.browser
def test_javascript_shows_what_the_table_says(modules: Page):
    sent = []
    for case in TIMES:
        swings = list(case.swings)
        if case.at != "P7":
            swings = [Placed(s.positions[case.at], s.positions, s.slowdown) for s in swings]
        sent.append([for_js(swings), case.at, case.by_position, [case.clock_us]])
    for case, swings in zip(TIMES, modules.evaluate(SHOWN, sent), strict=True):
        assert tuple(clip for [(clip, _)] in swings) == case.shown_us, case.name


def some_swing(chance: random.Random) -> Placed:
    """A swing with some of the positions, of any tempo, stored at any rate."""
    times = sorted(chance.sample(range(100_000, 9_000_000), 10))
    kept = chance.sample(range(10), chance.randint(0, 10))
    positions = {POSITIONS[k]: times[k] for k in kept}
    aligned = positions.get("P7", times[6]) + chance.choice([0, 0, 16_667, -50_000])
    return Placed(aligned, positions, chance.choice([1.0, 1.0, 4.0, 8.0, 3.3366]))


@pytest.mark.browser
def test_both_agree_on_swings_of_every_kind(modules: Page):
    chance = random.Random("warps")
    cases = []
    for n in range(200):
        swings = [some_swing(chance) for _ in range(chance.randint(2, 3))]
        clocks = [chance.randint(-6_000_000, 6_000_000) for _ in range(20)]
        cases.append((swings, bool(n % 4), clocks))
    sent = [[for_js(swings), "P7", by, clocks] for swings, by, clocks in cases]
    for (swings, by, clocks), made in zip(cases, modules.evaluate(SHOWN, sent), strict=True):
        for warp, times in zip(warps(swings, "P7", by_position=by), made, strict=True):
            for clock, (clip, back) in zip(clocks, times, strict=True):
                assert warp.clip_us(clock) == clip
                assert warp.clock_us(clip) == back


def test_between_the_outermost_positions_it_is_linear_interpolation():
    """Source: scipy.interpolate.interp1d over the times of the positions that all have."""
    chance = random.Random("against scipy")
    for _ in range(50):
        times = [sorted(chance.sample(range(9_000_000), 10)) for _ in range(2)]
        first, second = (Placed(row[6], dict(zip(POSITIONS, row, strict=True))) for row in times)
        warp = warps([first, second], "P7", by_position=True)[1]
        clocks = [us - first.aligned_us for us in times[0]]
        expected = interp1d(clocks, times[1])
        for clock in chance.choices(range(clocks[0], clocks[-1]), k=50):
            assert warp.clip_us(clock) == pytest.approx(float(expected(clock)), abs=0.51)


def test_time_never_runs_backward_and_every_position_falls_together():
    chance = random.Random("monotone")
    for _ in range(100):
        swings = [some_swing(chance) for _ in range(3)]
        found = warps(swings, "P7", by_position=True)
        clocks = sorted(chance.choices(range(-3_000_000, 3_000_000), k=60))
        for warp in found:
            shown = [warp.clip_us(clock) for clock in clocks]
            assert shown == sorted(shown)
        assert [warp.clip_us(0) for warp in found] == [swing.aligned_us for swing in swings]
        for knots in zip(*(warp.knots for warp in found), strict=True):
            assert len({clock for clock, _ in knots}) == 1


@pytest.mark.parametrize("case", LAID, ids=lambda case: case.name)
def test_python_lays_pictures_as_the_table_says(case: Laid):
    found = windows(case.pictures, case.zoom)
    for picture, window, corners in zip(case.pictures, found, case.corners, strict=True):
        right = window.left + window.scale * picture.width_px
        bottom = window.top + window.scale * picture.height_px
        assert (window.left, window.top, right, bottom) == pytest.approx(corners)


@pytest.mark.browser
def test_javascript_lays_pictures_alike(modules: Page):
    chance = random.Random("windows")
    cases = [(case.pictures, case.zoom) for case in LAID]
    for _ in range(100):
        pictures = tuple(
            Picture(
                chance.randint(200, 2000),
                chance.randint(200, 2000),
                chance.random() < 0.5,
                ((chance.random(), chance.random()), (chance.random(), chance.random()))
                if chance.random() < 0.8
                else None,
            )
            for _ in range(chance.randint(2, 3))
        )
        cases.append((pictures, chance.uniform(1, 4)))
    sent = [[[picture_for_js(p) for p in pictures], zoom] for pictures, zoom in cases]
    for (pictures, zoom), made in zip(cases, modules.evaluate(WINDOWS, sent), strict=True):
        for ours, theirs in zip(windows(pictures, zoom), made, strict=True):
            assert (ours.scale, ours.left, ours.top) == pytest.approx(
                (theirs["scale"], theirs["left"], theirs["top"])
            )
