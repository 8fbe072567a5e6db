"""Handles of a swing at its true pace, in Chromium: close together, each takes its own hand."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from lessons.clips.models import Clip, Swing, SwingSearch
from lessons.clips.positions import positions_of
from tests import factories
from tests.browser.test_positions import desk, frame_of, handle_of, phone  # noqa: F401 - fixtures
from tests.browser.test_swings import middle_of, shown

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# Whose chip or line lies over the chip of another
COVERS = """() => {
  const layer = (handle) => Number(getComputedStyle(handle).zIndex);
  const chip = (handle) => {
    const { left, width, top, bottom } = handle.getBoundingClientRect();
    const wide = parseFloat(getComputedStyle(handle, "::after").inlineSize);
    const middle = left + width / 2;
    return { left: middle - wide / 2, right: middle + wide / 2, middle, top, bottom };
  };
  const over = (one, other) => {
    const [a, b] = [chip(one), chip(other)];
    const isSide = a.left < b.right - 1 && b.left < a.right - 1;
    const chips = isSide && a.top < b.bottom - 1 && b.top < a.bottom - 1;
    const passes = b.top > a.top && one.dataset.row !== "1";
    const line = passes && a.left < b.middle && b.middle < a.right;
    return chips || (line && layer(other) >= layer(one));
  };
  const handles = [...document.querySelectorAll("[data-handle]")];
  return handles.flatMap((one) => handles
    .filter((other) => other !== one && over(one, other))
    .map((other) => `${other.dataset.handle} over ${one.dataset.handle}`));
}"""


@pytest.fixture
def swing(ready_clip: Clip) -> Swing:
    """A way down as many pixels long as one of 0.3 s is in a clip of its usual length."""
    SwingSearch.objects.update(state=SwingSearch.State.DONE)
    return factories.SwingFactory(
        clip=ready_clip, begin_us=50_000, top_us=400_000, strike_us=500_000, finish_us=750_000
    )


@pytest.mark.parametrize("place", ["desk", "phone"])
def test_the_middle_of_a_handle_is_its_own(
    request: pytest.FixtureRequest, swing: Swing, place: str
):
    page: Page = request.getfixturevalue(place)
    for here in positions_of(swing):
        handle = handle_of(page, here.position)
        page.mouse.click(*middle_of(handle))
        shown(page, frame_of(swing, here.position))
        expect(handle).to_be_focused()


@pytest.mark.parametrize("place", ["desk", "phone"])
@pytest.mark.parametrize(("position", "by_px"), [("P5", -8), ("P8", 8)])
def test_the_handle_that_is_pressed_is_dragged(
    request: pytest.FixtureRequest, swing: Swing, place: str, position: str, by_px: int
):
    page: Page = request.getfixturevalue(place)
    handle = handle_of(page, position)
    x, y = middle_of(handle)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + by_px / 2, y)
    page.mouse.move(x + by_px, y)
    page.mouse.up()
    expect(handle).to_have_attribute("data-state", "placed")
    assert [row.position for row in swing.placed.all()] == [position]


def test_a_guess_says_the_time_of_the_frame_that_it_shows(desk: Page, swing: Swing):  # noqa: F811
    seconds = round(frame_of(swing, "P8") / 1000) / 1000
    expect(desk.get_by_role("slider", name="P8")).to_have_attribute(
        "aria-valuetext", f"{seconds:.3f} s, a guess"
    )


@pytest.mark.parametrize("place", ["desk", "phone"])
def test_no_line_and_no_chip_covers_a_name(
    request: pytest.FixtureRequest, swing: Swing, place: str
):
    page: Page = request.getfixturevalue(place)
    swing.placed.create(position="P6", time_us=frame_of(swing, "P6"))  # a dark chip
    page.reload()
    page.wait_for_selector("clip-player[data-ready]")
    covered = page.evaluate(COVERS)
    assert covered == []
