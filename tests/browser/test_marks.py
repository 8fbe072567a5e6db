"""A coach draws on a still with a mouse, a finger and keys, in Chromium."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, CDPSession, Page, expect
from pytest_django.live_server_helper import LiveServer

from lessons.clips.models import Still
from lessons.marks.models import MarkSet
from lessons.marks.service import save_marks
from portal.accounts.models import User
from tests.browser.conftest import sign_in, until
from tests.marks.conftest import line, make_still

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LAPTOP = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}
Place = tuple[float, float]


@dataclass
class Desk:
    """A page with the board, and where the picture's pixels are on the screen."""

    page: Page
    address: str
    finger: CDPSession | None = None

    def open(self) -> Desk:
        self.page.goto(self.address)
        self.page.wait_for_selector("mark-board[data-ready]")
        return self

    def on_screen(self, place: Place) -> Place:
        return tuple(
            self.page.evaluate(
                """([x, y]) => {
                  const at = new DOMPoint(x, y).matrixTransform(
                    document.querySelector(".mark-drawing").getScreenCTM());
                  return [at.x, at.y];
                }""",
                place,
            )
        )

    def take(self, tool: str) -> None:
        self.page.click(f'[data-tool="{tool}"]')

    def drag(self, *places: Place) -> None:
        """Press at the first place, pass the others, let go at the last; as a hand does."""
        spots = [self.on_screen(place) for place in places]
        if self.finger:
            self.touch("touchStart", spots[0])
            for spot in spots[1:]:
                self.touch("touchMove", spot)
            self.touch("touchEnd")
        else:
            self.page.mouse.move(*spots[0])
            self.page.mouse.down()
            for spot in spots[1:]:
                self.page.mouse.move(*spot, steps=3)
            self.page.mouse.up()

    def touch(self, kind: str, *spots: Place) -> None:
        assert self.finger
        points = [{"x": x, "y": y, "id": n} for n, (x, y) in enumerate(spots)]
        self.finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def saved(self) -> list[dict[str, Any]]:
        expect(self.page.locator(".mark-status")).to_have_text("Saved")
        return MarkSet.objects.get().marks

    def drawn(self) -> list[str]:
        """What the drawing says to those who hear it."""
        marks = self.page.locator(".mark-drawing [data-mark]")
        return [mark.get_attribute("aria-label") or "" for mark in marks.all()]


def leave(page: Page) -> None:
    """Close a window with nothing more on its way: the next test has the database for itself."""
    page.evaluate("document.querySelector('mark-board').saving.unsaved = null")
    until(page, "!document.querySelector('mark-board').saving.sending")
    page.context.close()


@pytest.fixture
def big_still(lesson: Any) -> Still:
    return make_still(lesson)


@pytest.fixture
def desk_of(
    browser: Browser, live_server: LiveServer, coach: User, big_still: Still, request: Any
) -> Callable[..., Desk]:
    """Opens the board in a browser of its own."""
    client = Client()
    client.force_login(coach)

    def opened(size: dict[str, int] = LAPTOP, touch: bool = False) -> Desk:
        context = browser.new_context(viewport=size, has_touch=touch, is_mobile=touch)
        sign_in(context, live_server.url, client)
        page = context.new_page()
        request.addfinalizer(lambda: leave(page))
        finger = context.new_cdp_session(page) if touch else None
        path = reverse("marks:still", args=[big_still.pk])
        return Desk(page, live_server.url + path, finger).open()

    return opened


@pytest.fixture(params=["mouse", "finger"])
def desk(desk_of: Callable[..., Desk], request: Any) -> Desk:
    return desk_of() if request.param == "mouse" else desk_of(PHONE, touch=True)


@pytest.mark.parametrize("kind", ["line", "arrow", "box", "ellipse"])
def test_dragging_draws_from_one_end_to_the_other(desk: Desk, kind: str):
    desk.take(kind)
    desk.drag((100, 120), (200, 200), (400, 300))
    (mark,) = desk.saved()
    assert mark["kind"] == kind
    assert [n for point in mark["points"] for n in point] == pytest.approx(
        [100, 120, 400, 300], abs=2
    )


def test_an_angle_is_a_drag_and_a_tap_and_says_its_degrees(desk: Desk):
    desk.take("angle")
    desk.drag((400, 240), (300, 240), (200, 240))
    desk.drag((200, 100))
    (mark,) = desk.saved()
    assert len(mark["points"]) == 3
    assert desk.drawn() == ["Angle, 90 degrees, orange"]
    expect(desk.page.locator(".mark-drawing text")).to_have_text("90° ±2°")
    expect(desk.page.get_by_text("shows no depth")).to_be_visible()


def test_an_angle_is_three_taps_too(desk: Desk):
    desk.take("angle")
    for place in ((400, 240), (200, 240), (200, 100)):
        desk.drag(place)
    desk.saved()
    assert desk.drawn() == ["Angle, 90 degrees, orange"]


def test_freehand_follows_the_hand_with_few_points(desk: Desk):
    desk.take("freehand")
    desk.drag(*[(100 + 4 * n, 240 + 60 * math.sin(n / 12)) for n in range(100)])
    (mark,) = desk.saved()
    assert 8 <= len(mark["points"]) <= 100
    xs, ys = zip(*mark["points"], strict=True)
    assert (min(xs), max(xs)) == pytest.approx((100, 496), abs=3)
    assert (min(ys), max(ys)) == pytest.approx((180, 300), abs=5)


def test_a_label_is_tapped_and_typed(desk: Desk):
    desk.take("label")
    desk.drag((320, 240))
    words = desk.page.get_by_label("Words on the label")
    expect(words).to_be_focused()
    desk.page.keyboard.type("Hips back")
    expect(desk.page.locator(".mark-drawing text")).to_have_text("Hips back")
    (mark,) = desk.saved()
    assert (mark["text"], mark["points"]) == ("Hips back", [pytest.approx([320, 240], abs=2)])


def test_marks_are_moved_bent_and_coloured(desk: Desk):
    desk.take("line")
    desk.drag((100, 100), (300, 100))
    desk.drag((200, 100), (220, 160), (200, 200))
    assert [p[1] for p in desk.saved()[0]["points"]] == pytest.approx([200, 200], abs=3)
    desk.drag((300, 200), (300, 250), (300, 300))
    assert [p[1] for p in desk.saved()[0]["points"]] == pytest.approx([200, 300], abs=3)
    desk.page.get_by_role("button", name="Sky blue").click()
    expect(desk.page.locator('.mark-drawing path[stroke="#56B4E9"]')).to_have_count(1)
    desk.page.wait_for_timeout(700)
    assert desk.saved()[0]["colour"] == "#56B4E9"


def test_undo_redo_and_delete(desk: Desk):
    desk.take("box")
    desk.drag((100, 100), (200, 200))
    desk.take("ellipse")
    desk.drag((300, 100), (400, 200))
    assert desk.drawn() == ["Box, orange", "Ellipse, orange"]
    button = {n: desk.page.locator(f'[data-do="{n}"]') for n in ("undo", "redo", "delete")}
    button["undo"].click()
    assert desk.drawn() == ["Box, orange"]
    button["redo"].click()
    assert desk.drawn() == ["Box, orange", "Ellipse, orange"]
    expect(button["redo"]).to_be_disabled()
    desk.drag((100, 150))
    button["delete"].click()
    assert desk.drawn() == ["Ellipse, orange"]
    button["undo"].click()
    assert desk.drawn() == ["Box, orange", "Ellipse, orange"]


def test_a_reload_keeps_what_was_drawn(desk: Desk):
    desk.take("arrow")
    desk.drag((100, 100), (300, 200))
    desk.saved()
    desk.open()
    assert desk.drawn() == ["Arrow, orange"]


def test_shift_draws_level(desk_of: Callable[..., Desk]):
    desk = desk_of()
    desk.take("line")
    desk.page.keyboard.down("Shift")
    desk.drag((100, 100), (400, 120))
    desk.page.keyboard.up("Shift")
    (a, b) = desk.saved()[0]["points"]
    assert a[1] == b[1]


def test_it_is_all_done_by_keys(desk_of: Callable[..., Desk]):
    desk = desk_of()
    keys = desk.page.keyboard
    desk.page.locator(".mark-drawing").focus()
    keys.press("4")
    keys.press("Enter")
    assert desk.drawn() == ["Angle, 90 degrees, orange"]
    before = desk.saved()[0]["points"]
    keys.press("Shift+ArrowRight")
    desk.page.wait_for_timeout(700)
    after = desk.saved()[0]["points"]
    assert all(b[0] > a[0] and b[1] == a[1] for a, b in zip(before, after, strict=True))
    keys.press("Enter")
    for _ in range(3):
        keys.press("Shift+ArrowDown")
    desk.page.wait_for_timeout(700)
    bent = desk.saved()[0]["points"]
    assert (bent[0][1] > after[0][1], bent[1:]) == (True, after[1:])
    keys.press("Control+z")
    keys.press("5")
    desk.page.locator(".mark-drawing").focus()
    keys.press("Enter")
    desk.page.locator(".mark-drawing").focus()
    keys.press("Tab")
    expect(desk.page.locator('[data-kind="angle"][data-mark]')).to_be_focused()
    keys.press("Tab")
    expect(desk.page.locator('[data-kind="box"][data-mark]')).to_be_focused()
    keys.press("Delete")
    assert desk.drawn() == ["Angle, 90 degrees, orange"]
    keys.press("?")
    expect(desk.page.get_by_role("heading", name="Keys while drawing")).to_be_visible()
    keys.press("Escape")
    expect(desk.page.get_by_role("heading", name="Keys while drawing")).to_be_hidden()


def test_the_list_names_the_marks_and_chooses_them(desk_of: Callable[..., Desk], big_still: Still):
    save_marks(big_still, 0, [line(id="a"), line(id="b", kind="box", colour="#009E73")])
    desk = desk_of()
    desk.page.get_by_text("2 marks").click()
    row = desk.page.get_by_role("button", name="Box, green")
    row.click()
    expect(row).to_have_attribute("aria-pressed", "true")
    expect(row).to_be_focused()
    expect(desk.page.locator(".mark-handle")).to_have_count(4)


def test_handles_are_large_enough_for_a_finger_at_any_zoom(desk_of: Callable[..., Desk]):
    desk = desk_of(PHONE, touch=True)
    desk.take("line")
    desk.drag((280, 200), (320, 240), (360, 260))
    for _ in range(3):
        handles = desk.page.locator(".mark-handle").all()
        assert len(handles) == 2
        assert all(handle.bounding_box()["width"] >= 24 for handle in handles)
        desk.page.locator('[data-do="closer"]').click()


def test_a_loupe_shows_what_the_finger_hides(desk_of: Callable[..., Desk]):
    desk = desk_of(PHONE, touch=True)
    desk.take("line")
    start, end = desk.on_screen((300, 300)), desk.on_screen((400, 400))
    desk.touch("touchStart", start)
    desk.touch("touchMove", end)
    loupe = desk.page.locator(".mark-loupe")
    expect(loupe).to_be_visible()
    box = loupe.bounding_box()
    assert box is not None
    assert box["y"] + box["height"] < end[1]
    desk.touch("touchEnd")
    expect(loupe).to_be_hidden()


def test_two_fingers_zoom_and_draw_nothing(desk_of: Callable[..., Desk]):
    desk = desk_of(PHONE, touch=True)
    desk.take("line")
    x, y = desk.on_screen((320, 240))
    desk.touch("touchStart", (x - 30, y))
    desk.touch("touchMove", (x - 40, y))
    desk.touch("touchStart", (x - 40, y), (x + 40, y))
    desk.touch("touchMove", (x - 80, y), (x + 80, y))
    desk.touch("touchEnd")
    assert desk.page.evaluate("document.querySelector('mark-board').view.zoom") == pytest.approx(
        2, abs=0.05
    )
    assert desk.drawn() == []


def test_two_windows_do_not_overwrite_one_another(desk_of: Callable[..., Desk], big_still: Still):
    mine, other = desk_of(), desk_of()
    other.take("box")
    other.drag((100, 100), (200, 200))
    other.saved()
    mine.take("line")
    mine.drag((300, 300), (400, 400))
    expect(mine.page.get_by_text("Which do you want?")).to_be_visible()
    assert [mark["kind"] for mark in MarkSet.objects.get().marks] == ["box"]
    mine.page.get_by_role("button", name="Keep mine").click()
    expect(mine.page.get_by_text("Which do you want?")).to_be_hidden()
    assert [mark["kind"] for mark in mine.saved()] == ["line"]

    other.take("arrow")
    other.drag((300, 100), (400, 200))
    other.page.get_by_role("button", name="Take theirs").click()
    assert other.drawn() == ["Line, orange"]
    assert [mark["kind"] for mark in other.saved()] == ["line"]
    other.page.locator('[data-do="undo"]').click()
    assert other.drawn() == ["Box, orange", "Arrow, orange"]


def test_a_lost_connection_and_a_reload_lose_nothing(desk_of: Callable[..., Desk]):
    desk = desk_of()
    desk.page.route("**/marks/", lambda route: route.abort())
    desk.take("ellipse")
    desk.drag((100, 100), (300, 300))
    expect(desk.page.locator(".mark-status")).to_contain_text("kept on this device")
    assert not MarkSet.objects.exists()
    desk.page.unroute("**/marks/")
    desk.open()
    assert desk.drawn() == ["Ellipse, orange"]
    assert [mark["kind"] for mark in desk.saved()] == ["ellipse"]
    assert desk.page.evaluate("localStorage.length") == 0


def test_a_refusal_is_said_in_the_sites_words(desk_of: Callable[..., Desk]):
    desk = desk_of()
    sentence = "A still holds at most 100 marks; delete some first."
    body = json.dumps({"detail": sentence})
    desk.page.route("**/marks/", lambda route: route.fulfill(status=422, body=body))
    desk.take("line")
    desk.drag((100, 100), (300, 300))
    expect(desk.page.locator(".mark-status")).to_have_text(sentence)
    assert desk.drawn() == ["Line, orange"]


def test_signed_out_meanwhile_the_marks_wait_on_the_device(desk_of: Callable[..., Desk]):
    desk = desk_of()
    cookies = desk.page.context.cookies()
    desk.page.context.clear_cookies()
    desk.take("line")
    desk.drag((100, 100), (300, 300))
    expect(desk.page.locator(".mark-status")).to_contain_text("You are signed out")
    desk.page.context.add_cookies(cookies)
    desk.open()
    assert [mark["kind"] for mark in desk.saved()] == ["line"]
