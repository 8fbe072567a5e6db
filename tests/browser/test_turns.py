"""Whose answer comes first on the clip's page, in Chromium: presses, and what it asks by itself.

Answers are held back and let go in the order that a slow line may bring them in.
"""

from __future__ import annotations

import contextlib
import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Error, Page, Route, expect

from lessons.clips import times
from lessons.clips.models import Cut, Swing
from tests import factories
from tests.browser.conftest import until
from tests.browser.test_positions import desk, frame_of, handle_of, swing  # noqa: F401 - fixtures
from tests.browser.test_swings import middle_of, shown

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# fixtures come by name
# ruff: noqa: F811

PLACE, ASKS, STILLS = "**/place/", "**/clips/*/swings/", "**/stills/list/"


class Held:
    """Requests to an address that wait until they are let go, in a test's own order."""

    every: list[Held] = []

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        self.address = address
        self.routes: list[Route] = []
        page.route(address, lambda route: self.routes.append(route))
        self.every.append(self)

    def until(self, count: int) -> None:
        """Wait until so many have been made."""
        deadline = time.monotonic() + 15
        while len(self.routes) < count:
            assert time.monotonic() < deadline, f"not asked for: {len(self.routes)} of {count}"
            self.page.wait_for_timeout(20)

    def let_go(self, number: int) -> None:
        self.routes[number].continue_()

    def end(self) -> None:
        """Let go whatever still waits."""
        self.page.unroute(self.address)
        for route in self.routes:
            with contextlib.suppress(Error):  # it was answered, or its page is gone
                route.continue_()


@pytest.fixture(autouse=True)
def nothing_held_after(desk: Page) -> Iterator[None]:
    """A request that waits for ever is told as an error, in whichever test comes next."""
    yield
    while Held.every:
        Held.every.pop().end()


def go_to(page: Page, swing: Swing, position: str) -> int:
    """Show the frame in which a position lies; its time."""
    page.keyboard.press(f"Shift+{position.removeprefix('P')}")
    shown(page, frame_of(swing, position))
    return frame_of(swing, position)


def stay(page: Page) -> None:
    """Remember the page, to tell whether it was loaded anew."""
    page.evaluate("window.isStillHere = true")


def stayed(page: Page) -> bool:
    return page.evaluate("window.isStillHere === true")


@pytest.fixture
def asking(desk: Page, swing: Swing) -> Page:
    """The page while a worker is at a cut: it asks for its swings every other second."""
    Cut.objects.update(state=Cut.State.MAKING)
    desk.reload()
    desk.wait_for_selector("clip-player[data-ready]")
    desk.focus("clip-player")
    stay(desk)
    return desk


def test_an_answer_that_nobody_pressed_for_takes_nothing_from_a_press(asking: Page, swing: Swing):
    place = Held(asking, PLACE)
    wanted = go_to(asking, swing, "P5")
    asking.keyboard.press("5")
    place.until(1)
    Cut.objects.update(state=Cut.State.READY)  # what it asks for now would be the last
    asked = asking.evaluate(
        """() => {
             let asked = false;
             const note = () => (asked = true);
             document.body.addEventListener("htmx:beforeSend", note, { once: true });
             document.body.dispatchEvent(new Event("swings-changed"));
             return asked;
           }"""
    )
    assert not asked  # it waits its turn
    asks = Held(asking, ASKS)
    place.let_go(0)
    expect(handle_of(asking, "P5")).to_have_attribute("data-state", "placed")
    expect(asking.locator(".still-card")).to_have_count(1)
    assert swing.placed.get().time_us == wanted
    asks.until(1)  # and has it now
    assert stayed(asking)


def test_a_press_overtakes_what_the_page_asks_for(asking: Page, swing: Swing):
    asks = Held(asking, ASKS)
    asks.until(1)
    go_to(asking, swing, "P5")
    place = Held(asking, PLACE)
    asking.keyboard.press("5")
    place.until(1)
    with asking.expect_response(ASKS):
        asks.let_go(0)  # answered before the press, and shown nowhere
    place.let_go(0)
    handle = handle_of(asking, "P5")
    expect(handle).to_have_attribute("data-state", "placed")
    expect(asking.locator(".still-card")).to_have_count(1)


def test_a_press_waits_for_the_one_before_and_is_not_lost(desk: Page, swing: Swing):
    place = Held(desk, PLACE)
    desk.focus("clip-player")
    stay(desk)
    first = go_to(desk, swing, "P5")
    desk.keyboard.press("5")
    place.until(1)
    second = go_to(desk, swing, "P6")
    desk.keyboard.press("6")
    desk.keyboard.press("6")  # in impatience: it counts once
    third = go_to(desk, swing, "P8")
    desk.keyboard.press("8")
    assert len(place.routes) == 1
    for number in range(3):
        place.until(number + 1)
        place.let_go(number)
    for position in ("P5", "P6", "P8"):
        expect(handle_of(desk, position)).to_have_attribute("data-state", "placed")
    placed = dict(swing.placed.values_list("position", "time_us"))
    assert placed == {"P5": first, "P6": second, "P8": third}
    assert len(place.routes) == 3
    assert stayed(desk)


def test_what_was_refused_is_said_also_when_the_next_press_is_taken(desk: Page, swing: Swing):
    place = Held(desk, PLACE)
    desk.focus("clip-player")
    go_to(desk, swing, "P8")
    desk.keyboard.press("6")  # behind P7
    place.until(1)
    desk.keyboard.press("8")
    place.let_go(0)
    place.until(2)
    place.let_go(1)
    expect(handle_of(desk, "P8")).to_have_attribute("data-state", "placed")
    expect(desk.get_by_role("alert")).to_contain_text("P6 comes before P7")


def test_a_press_right_behind_an_answer_loads_no_new_page(desk: Page, swing: Swing):
    desk.focus("clip-player")
    stay(desk)
    go_to(desk, swing, "P5")
    desk.evaluate(
        """() => document.body.addEventListener("htmx:afterSwap", ({ target }) => {
             if (target.id !== "swings" || window.pressed) return;
             window.pressed = true;
             const key = { key: "8", code: "Digit8", bubbles: true };
             setTimeout(() => document.querySelector("clip-player")
               .dispatchEvent(new KeyboardEvent("keydown", key)));
           })"""
    )
    desk.keyboard.press("5")
    expect(desk.get_by_role("alert")).to_contain_text("P8 comes after P7")
    assert stayed(desk)


def test_nothing_is_taken_from_under_a_hand(asking: Page, swing: Swing):
    handle = handle_of(asking, "P3")
    x, y = middle_of(handle)
    asking.mouse.move(x, y)
    asking.mouse.down()
    asking.mouse.move(x + 12, y)
    factories.SwingFactory(clip=swing.clip, begin_us=0, top_us=None, strike_us=None, finish_us=9)
    Cut.objects.update(state=Cut.State.READY)
    with asking.expect_response(ASKS):
        pass
    name = asking.locator(".swing-name")
    expect(name).to_have_text("Swing 1 of 1")
    asking.mouse.move(x, y)
    with asking.expect_response(PLACE):
        asking.mouse.up()
    expect(name).to_contain_text("of 2")
    expect(handle).to_have_attribute("data-state", "placed")


def test_a_tap_lets_in_what_was_kept_away(asking: Page, swing: Swing):
    x, y = middle_of(handle_of(asking, "P3"))
    asking.mouse.move(x, y)
    asking.mouse.down()
    factories.SwingFactory(clip=swing.clip, begin_us=0, top_us=None, strike_us=None, finish_us=9)
    Cut.objects.update(state=Cut.State.READY)
    with asking.expect_response(ASKS):
        pass
    asking.mouse.up()
    expect(asking.locator(".swing-name")).to_contain_text("of 2")


def test_a_moved_handle_stays_until_it_is_answered(desk: Page, swing: Swing):
    place = Held(desk, PLACE)
    p3 = handle_of(desk, "P3")
    p3.focus()
    desk.keyboard.press("ArrowRight")
    table = times.read(swing.clip)
    wanted = table[table.index(frame_of(swing, "P3")) + 1]
    place.until(1)
    with desk.expect_response(STILLS):
        desk.evaluate("document.body.dispatchEvent(new Event('stills-changed'))")
    until(desk, "document.querySelector('#stills') !== null")
    expect(p3).to_have_attribute("aria-valuenow", str(wanted))
    place.let_go(0)
    expect(p3).to_have_attribute("data-state", "placed")
    expect(p3).to_have_attribute("aria-valuenow", str(wanted))
    assert swing.placed.get().time_us == wanted


def test_a_handle_sets_its_own_swing_though_another_is_shown_by_then(desk: Page, swing: Swing):
    other = factories.SwingFactory(
        clip=swing.clip, begin_us=760_000, top_us=None, strike_us=None, finish_us=790_000
    )
    desk.reload()
    desk.wait_for_selector("clip-player[data-ready]")
    handle_of(desk, "P3").focus()
    desk.keyboard.press("ArrowRight")
    with desk.expect_response(PLACE) as answer:
        desk.keyboard.press("n")
    assert f"/swings/{swing.pk}/" in answer.value.url
    expect(desk.locator(".swing-name")).to_have_text("Swing 2 of 2")
    assert swing.placed.exists()
    assert not other.placed.exists()


def test_a_still_that_is_new_is_asked_for_behind_an_older_answer(desk: Page, swing: Swing):
    desk.focus("clip-player")
    stills = Held(desk, STILLS)
    desk.evaluate("document.body.dispatchEvent(new Event('stills-changed'))")
    stills.until(1)
    older = stills.routes[0].fetch()  # the list before
    go_to(desk, swing, "P5")
    with desk.expect_response(PLACE):
        desk.keyboard.press("5")
    expect(handle_of(desk, "P5")).to_have_attribute("data-state", "placed")
    stills.routes[0].fulfill(response=older)
    stills.until(2)
    stills.let_go(1)
    expect(desk.locator(".still-card")).to_have_count(1)
