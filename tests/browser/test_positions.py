"""Positions on the stage, in Chromium: dragged by mouse, finger and pen, moved by keys, undone."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from django.test import Client
from playwright.sync_api import Browser, CDPSession, Locator, Page, expect
from pytest_django.live_server_helper import LiveServer

from lessons.clips import tasks, times
from lessons.clips.models import Clip, PlacedPosition, Still, Swing, SwingSearch
from lessons.clips.positions import positions_of
from tests import factories
from tests.browser.conftest import sign_in
from tests.browser.test_swings import LAPTOP, PHONE, middle_of, opened, shown

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def swing(ready_clip: Clip) -> Swing:
    """A swing over most of the small film of 48 frames."""
    SwingSearch.objects.update(state=SwingSearch.State.DONE)
    return factories.SwingFactory(
        clip=ready_clip, begin_us=50_000, top_us=400_000, strike_us=550_000, finish_us=750_000
    )


@pytest.fixture
def desk(
    browser: Browser, live_server: LiveServer, as_coach: Client, swing: Swing
) -> Iterator[Page]:
    with browser.new_context(viewport=LAPTOP) as context:
        sign_in(context, live_server.url, as_coach)
        yield opened(context.new_page(), live_server, swing.clip)


@pytest.fixture
def phone(
    browser: Browser, live_server: LiveServer, as_coach: Client, swing: Swing
) -> Iterator[Page]:
    with browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True) as context:
        sign_in(context, live_server.url, as_coach)
        yield opened(context.new_page(), live_server, swing.clip)


def handle_of(page: Page, position: str) -> Locator:
    handle = page.locator(f"[data-handle={position}]")
    # clear of what sticks to the foot of a phone's screen
    handle.evaluate("(one) => one.scrollIntoView({ block: 'center' })")
    return handle


def us_per_px(page: Page, swing: Swing) -> float:
    """How much of the clip a pixel of the close lane is."""
    span = min(swing.clip.duration_us, swing.finish_us + 300_000)
    return span / page.locator("[data-close]").bounding_box()["width"]


def frame_of(swing: Swing, position: str) -> int:
    """The own time of the frame in which a position is proposed or placed."""
    at = next(here.time_us for here in positions_of(swing) if here.position == position)
    return times.at(times.read(swing.clip), at)


def pen(session: CDPSession) -> Callable[[str, float, float], None]:
    def move(kind: str, x: float, y: float) -> None:
        held = 0 if kind == "mouseReleased" else 1
        session.send(
            "Input.dispatchMouseEvent",
            {"type": kind, "x": x, "y": y, "button": "left", "buttons": held, "clickCount": 1,
             "pointerType": "pen"},
        )  # fmt: skip

    return move


def test_a_position_is_dragged_by_mouse_and_its_still_is_pulled(desk: Page, swing: Swing):
    guess = frame_of(swing, "P2")
    handle = handle_of(desk, "P2")
    expect(handle).to_have_attribute("data-state", "guess")
    x, y = middle_of(handle)
    by_px = 50_000 / us_per_px(desk, swing)
    desk.mouse.move(x, y)
    desk.mouse.down()
    desk.mouse.move(x + by_px / 2, y)
    desk.mouse.move(x + by_px, y)
    desk.mouse.up()
    expect(handle).to_have_attribute("data-state", "placed")
    placed = swing.placed.get()
    assert abs(placed.time_us - guess - 50_000) < 25_000
    shown(desk, placed.time_us)
    still = Still.objects.get()
    assert (still.position, still.time_us) == ("P2", placed.time_us)
    expect(desk.get_by_text("Pulling")).to_be_visible()
    tasks.pull(still.pk)
    expect(desk.locator(f"#still-{still.pk} img")).to_be_visible()


def test_a_position_is_dragged_by_a_finger_on_a_phone(phone: Page, swing: Swing):
    handle = handle_of(phone, "P8")
    box = handle.bounding_box()
    assert box["width"] >= 44
    assert box["height"] >= 44
    x, y = middle_of(handle)
    finger = phone.context.new_cdp_session(phone)

    def touch(kind: str, points: list[dict]) -> None:
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", [{"x": x, "y": y}])
    for step in range(1, 6):
        touch("touchMove", [{"x": x + 5 * step, "y": y}])
    touch("touchEnd", [])
    expect(handle).to_have_attribute("data-state", "placed")
    moved = swing.placed.get().time_us
    assert moved > 573_800
    assert phone.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    phone.locator("[data-press=undo]").tap()
    expect(handle).to_have_attribute("data-state", "guess")
    assert not PlacedPosition.objects.exists()
    assert not Still.objects.current().exists()


def test_a_position_is_dragged_by_a_pen(desk: Page, swing: Swing):
    handle = handle_of(desk, "P9")
    kinds = desk.evaluate(
        """() => { window.kinds = [];
             document.querySelector("[data-close]").addEventListener("pointerdown",
               (event) => window.kinds.push(event.pointerType)); return window.kinds; }"""
    )
    assert kinds == []
    x, y = middle_of(handle)
    move = pen(desk.context.new_cdp_session(desk))
    move("mousePressed", x, y)
    for step in range(1, 5):
        move("mouseMoved", x + 8 * step, y)
    move("mouseReleased", x + 32, y)
    expect(handle).to_have_attribute("data-state", "placed")
    assert desk.evaluate("window.kinds") == ["pen"]


def test_arrow_keys_move_a_handle_frame_by_frame_and_undo_takes_it_back(desk: Page, swing: Swing):
    table = times.read(swing.clip)
    index = table.index(frame_of(swing, "P4"))
    top = desk.get_by_role("slider", name="P4 top")
    top.focus()
    shown(desk, table[index])
    desk.keyboard.press("ArrowRight")
    desk.keyboard.press("ArrowRight")
    desk.keyboard.press("ArrowLeft")
    shown(desk, table[index + 1])
    expect(top).to_have_attribute(
        "aria-valuetext", f"{round(table[index + 1] / 1000) / 1000:.3f} s, moved"
    )
    expect(top).to_have_attribute("data-state", "placed")  # told once the keys rest, as one change
    expect(top).to_have_attribute("aria-valuenow", str(table[index + 1]))
    expect(top).to_be_focused()
    swing.refresh_from_db()
    assert swing.top_us == table[index + 1]
    assert swing.changes.count() == 1
    desk.keyboard.press("u")
    expect(top).to_have_attribute("data-state", "found")
    swing.refresh_from_db()
    assert swing.top_us == 400_000


def test_enter_confirms_a_guess_and_escape_puts_a_handle_back(desk: Page, swing: Swing):
    guess = frame_of(swing, "P3")
    p3 = desk.get_by_role("slider", name="P3 lead arm parallel going back")
    p3.focus()
    desk.keyboard.press("PageUp")
    desk.keyboard.press("Escape")
    shown(desk, guess)
    desk.keyboard.press("Enter")
    expect(p3).to_have_attribute("data-state", "placed")
    assert swing.placed.get().time_us == guess


def test_what_is_out_of_order_goes_back_to_where_it_was(desk: Page, swing: Swing):
    p6 = desk.get_by_role("slider", name="P6 shaft parallel coming down")
    before = frame_of(swing, "P6")
    p6.focus()
    for _ in range(3):
        desk.keyboard.press("PageUp")
    expect(desk.get_by_role("alert")).to_contain_text("P6 comes before P7")
    expect(p6).to_have_attribute("data-state", "guess")
    assert abs(int(p6.get_attribute("aria-valuenow")) - before) < 17_000
    assert not PlacedPosition.objects.exists()


def test_one_key_a_position(desk: Page, swing: Swing):
    desk.focus("clip-player")
    desk.keyboard.press("Shift+5")
    shown(desk, frame_of(swing, "P5"))
    desk.keyboard.press(".")
    table = times.read(swing.clip)
    wanted = table[table.index(frame_of(swing, "P5")) + 1]
    shown(desk, wanted)
    desk.keyboard.press("5")
    expect(desk.locator("[data-handle=P5]")).to_have_attribute("data-state", "placed")
    assert swing.placed.get().time_us == wanted
    desk.keyboard.press("Shift+0")
    shown(desk, frame_of(swing, "P10"))
    desk.keyboard.press("f")
    expect(desk.locator("[data-handle=P10]")).to_have_attribute("data-state", "placed")


def test_all_positions_are_pulled_by_one_key(desk: Page, swing: Swing):
    desk.focus("clip-player")
    desk.keyboard.press("a")
    expect(desk.locator(".still-card")).to_have_count(10)
    tasks.pull(Still.objects.earliest("pk").pk)
    expect(desk.locator(".still-card img")).to_have_count(10)
    expect(desk.locator("[data-state=placed]")).to_have_count(0)  # guesses stay guesses


def test_the_browser_reads_the_positions_as_chapters(desk: Page, swing: Swing):
    # Chromium's own reader of WebVTT leaves out what is not valid
    cues = desk.evaluate(
        """() => new Promise((resolve) => {
             const { track } = document.querySelector("video[data-video=watch] track");
             const told = () => resolve([...track.cues].map(
               ({ startTime, endTime, text }) => [startTime, endTime, text]));
             if (track.cues?.length) told();
             else document.querySelector("track").addEventListener("load", told);
           })"""
    )
    assert [text.split()[0] for *_, text in cues] == [here.position for here in positions_of(swing)]
    assert all(start < end for start, end, _ in cues)
