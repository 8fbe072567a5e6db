"""A patch is boxed, followed, set right and put into the recap, by mouse, finger and keys."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, CDPSession, Page, expect
from pytest_django.live_server_helper import LiveServer

from lessons.clips import times
from lessons.clips.models import Clip, Still
from lessons.paths import tasks
from lessons.paths.models import Path
from media_tools.mannequin import Film, SwingSpec, TimedSwing, truth_of
from tests import factories
from tests.browser.conftest import sign_in
from tests.clips.conftest import FPS, FRAMES

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LAPTOP = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}
AT = 6  # the frame in which the head is boxed
Place = tuple[float, float]


class Bench:
    """A page with a path's picture, and the hand that draws on it."""

    def __init__(self, page: Page, url: str, finger: CDPSession | None) -> None:
        self.page = page
        self.url = url
        self.finger = finger

    def open(self, address: str) -> None:
        self.page.goto(self.url + address)

    def ready(self) -> None:
        self.page.wait_for_selector("path-viewer[data-ready]")

    def on_screen(self, place: Place) -> Place:
        self.page.locator(".path-drawing").scroll_into_view_if_needed()
        x, y = self.page.evaluate(
            """([x, y]) => {
              const at = new DOMPoint(x, y).matrixTransform(
                document.querySelector(".path-drawing").getScreenCTM());
              return [at.x, at.y];
            }""",
            place,
        )
        return x, y

    def drag(self, *places: Place) -> None:
        """Press at the first place, pass the others, let go at the last; as a hand does."""
        spots = [self.on_screen(place) for place in places]
        if self.finger:
            self.touch("touchStart", spots[0])
            for spot in spots[1:]:
                self.touch("touchMove", spot)
            self.touch("touchEnd")
            return
        self.page.mouse.move(*spots[0])
        self.page.mouse.down()
        for spot in spots[1:]:
            self.page.mouse.move(*spot, steps=3)
        self.page.mouse.up()

    def touch(self, kind: str, *spots: Place) -> None:
        assert self.finger
        points = [{"x": x, "y": y, "id": n} for n, (x, y) in enumerate(spots)]
        self.finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def box(self) -> dict[str, float]:
        """What the form would send."""
        names = ("time_us", "x", "y", "width", "height")
        return {n: float(self.page.input_value(f"[data-field={n}] >> nth=0")) for n in names}


@pytest.fixture(autouse=True)
def sent(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """No broker: the keys of the paths that would have been sent to a worker."""
    found: list[int] = []
    monkeypatch.setattr(tasks.follow, "delay", found.append)
    return found


@pytest.fixture
def clip(ready_clip: Clip) -> Clip:
    factories.SwingFactory(
        clip=ready_clip, begin_us=0, top_us=400_000, strike_us=600_000, finish_us=780_000
    )
    return ready_clip


@pytest.fixture
def head() -> Callable[[int], Place]:
    """Where the mannequin says that its head is, in the film of `ready_clip`."""
    swing = TimedSwing(0.0, SwingSpec(backswing_s=0.4, downswing_s=0.2))
    film = Film(swings=(swing,), size_px=(320, 180), fps=FPS, duration_s=FRAMES / FPS)
    truth = truth_of(film)
    return lambda frame: truth.joint("head", frame)


@pytest.fixture(params=["mouse", "finger"])
def bench(
    request: Any, browser: Browser, live_server: LiveServer, as_coach: Client
) -> Iterator[Bench]:
    touch = request.param == "finger"
    size = PHONE if touch else LAPTOP
    with browser.new_context(viewport=size, has_touch=touch, is_mobile=touch) as context:
        sign_in(context, live_server.url, as_coach)
        page = context.new_page()
        yield Bench(page, live_server.url, context.new_cdp_session(page) if touch else None)


def followed(bench: Bench) -> Path:
    """What a worker does, and the page that shows it."""
    expect(bench.page.locator(".waiting")).to_be_visible()
    path = Path.objects.get()
    tasks.follow(path.pk)
    bench.ready()
    path.refresh_from_db()
    return path


def test_a_head_is_boxed_followed_set_right_and_put_into_the_recap(
    bench: Bench, clip: Clip, head: Callable[[int], Place]
):
    table = times.read(clip)
    still = factories.StillFactory(clip=clip, time_us=table[AT], state=Still.State.READY)
    bench.open(reverse("paths:begin", args=[clip.pk]) + f"?still={still.pk}")
    bench.ready()
    x, y = head(AT)
    bench.drag((x - 13, y - 17), (x, y), (x + 13, y + 17))
    box = bench.box()
    assert box["time_us"] == table[AT]
    assert [box["x"], box["y"]] == pytest.approx([x, y], abs=2)
    assert [box["width"], box["height"]] == pytest.approx([26, 34], abs=3)

    bench.page.click("[data-follow]")
    path = followed(bench)
    assert path.is_ready, path.reason
    expect(bench.page.get_by_text("Head followed")).to_be_visible()
    expect(bench.page).to_have_url(re.compile(rf"/paths/{path.pk}/$"))
    assert bench.page.locator(".path-way").count() >= 1
    expect(bench.page.locator(".path-plot")).to_be_visible()

    # Two frames on, the box goes along with the head; a drag in it sets it right
    for _ in range(2):
        bench.page.click("path-viewer [data-do=forth]")
    at = bench.box()
    assert at["time_us"] == table[AT + 2]
    assert [at["x"], at["y"]] == pytest.approx(head(AT + 2), abs=3)
    expect(bench.page.get_by_text("Follow again from here")).to_be_hidden()
    bench.drag((at["x"], at["y"]), (at["x"] + 4, at["y"]), (at["x"] + 8, at["y"] + 1))
    assert bench.box()["x"] == pytest.approx(at["x"] + 8, abs=1)
    bench.page.click("text=Follow again from here")
    path = followed(bench)
    assert len(path.boxes) == 2
    bench.page.click("text=Take the last correction back")
    path = followed(bench)
    assert len(path.boxes) == 1

    bench.page.check("#path-in-recap")
    expect(bench.page.locator(".path-recap [role=status]")).to_have_text("Saved")
    path.refresh_from_db()
    assert path.in_recap
    assert bench.page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0

    bench.page.click("#path-remove")
    expect(bench.page.get_by_text("This path is removed.")).to_be_visible()
    bench.page.click("#restore-path")
    bench.ready()


def test_a_moved_box_can_be_left_where_it_was(bench: Bench, clip: Clip):
    path = factories.PathFactory(
        clip=clip,
        swing=clip.swings.get(),
        begin_us=0,
        end_us=700_000,
        boxes=[{"time_us": 0, "x": 150, "y": 60, "width": 30, "height": 30}],
        places=[[t, 150.0, 60.0, 0.9, 1.0, 1.0] for t in times.read(clip) if t <= 700_000],
        state=Path.State.READY,
    )
    bench.open(reverse("paths:path", args=[path.pk]))
    bench.ready()
    bench.drag((150, 60), (160, 70), (170, 80))
    assert bench.box()["x"] == pytest.approx(170, abs=1)
    bench.page.click("text=Leave it")
    assert bench.box()["x"] == 150
    expect(bench.page.get_by_text("Follow again from here")).to_be_hidden()


def test_it_leads_from_one_lost_stretch_to_the_next(bench: Bench, clip: Clip):
    """What is boxed on the way is kept, and goes in together."""
    table = [t for t in times.read(clip) if t <= 700_000]
    lost = {8, 9, 20, 21, 22}
    path = factories.PathFactory(
        clip=clip,
        swing=clip.swings.get(),
        begin_us=0,
        end_us=700_000,
        boxes=[{"time_us": 0, "x": 150, "y": 60, "width": 30, "height": 30}],
        places=[
            [t, None, None, 0.0, None, None] if n in lost else [t, 150.0, 60.0, 0.9, 1.0, 1.0]
            for n, t in enumerate(table)
        ],
        state=Path.State.READY,
    )
    bench.open(reverse("paths:path", args=[path.pk]))
    bench.ready()
    send = bench.page.locator("[data-correct] .next")
    bench.page.click("[data-do=lost]")
    expect(bench.page.locator("[data-state]")).to_contain_text("Not found here")
    bench.drag((100, 50), (115, 65), (130, 80))
    expect(send).to_have_text("Follow again from here")
    bench.page.click("[data-do=lost]")
    bench.drag((100, 60), (115, 75), (130, 90))
    expect(send).to_have_text("Follow again from these 2 frames")
    bench.page.click("path-viewer [data-do=back]")
    expect(bench.page.get_by_text("Leave it")).to_be_hidden()
    send.click()
    expect(bench.page.locator(".waiting")).to_be_visible()
    path.refresh_from_db()
    drawn = {box["time_us"]: box["y"] for box in path.boxes[1:]}
    assert drawn == pytest.approx({table[8]: 65, table[20]: 75}, abs=1)


def test_a_refusal_brings_the_box_back(bench: Bench, clip: Clip):
    bench.open(reverse("paths:begin", args=[clip.pk]) + "?time_us=100000")
    bench.ready()
    bench.drag((100, 50), (115, 65), (130, 80))
    before = bench.box()
    bench.page.check("[name=what][value=other]")
    bench.page.click("[data-follow]")
    expect(bench.page.get_by_text("Say in a word what it is.")).to_be_in_viewport()
    bench.ready()
    assert bench.box() == before
    expect(bench.page.locator("#path-name")).to_be_focused()
    bench.page.fill("#path-name", "lead knee")
    bench.page.click("[data-follow]")
    expect(bench.page.locator(".waiting")).to_be_visible()
    assert Path.objects.get().boxes[0]["x"] == pytest.approx(before["x"], abs=0.01)


def test_a_tap_puts_the_box_there_and_a_corner_sizes_it(bench: Bench, clip: Clip):
    bench.open(reverse("paths:begin", args=[clip.pk]))
    bench.ready()
    bench.drag((160, 90))
    box = bench.box()
    assert [box["x"], box["y"]] == pytest.approx([160, 90], abs=1)
    corner = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    bench.drag(corner, (corner[0] + 10, corner[1] + 5), (corner[0] + 20, corner[1] + 10))
    sized = bench.box()
    assert sized["width"] == pytest.approx(box["width"] + 20, abs=2)
    assert sized["height"] == pytest.approx(box["height"] + 10, abs=2)


def test_a_box_can_be_drawn_closer(bench: Bench, clip: Clip, head: Callable[[int], Place]):
    bench.open(reverse("paths:begin", args=[clip.pk]))
    bench.ready()
    x, y = head(0)
    bench.drag((x, y))
    bench.page.click("text=Closer")
    expect(bench.page.locator("[data-do=closer]")).to_have_attribute("aria-pressed", "true")
    bench.drag((x - 30, y - 10), (x - 20, y), (x - 17, y + 10))
    box = bench.box()
    assert [box["x"], box["y"]] == pytest.approx([x - 23.5, y], abs=1)
    bench.page.click("text=Closer")
    bench.drag((x, y + 50), (x + 10, y + 70), (x + 30, y + 90))
    box = bench.box()
    assert [box["x"], box["y"]] == pytest.approx([x + 15, y + 70], abs=1)


@pytest.mark.parametrize("bench", ["mouse"], indirect=True)
def test_the_keys_step_frames_and_move_the_box(bench: Bench, clip: Clip):
    table = times.read(clip)
    bench.open(reverse("clips:clip", args=[clip.pk]))
    bench.page.wait_for_selector("clip-player[data-ready]")
    bench.page.click("#follow-patch")
    bench.ready()
    bench.page.focus(".path-drawing")
    bench.page.keyboard.press("Enter")
    before = bench.box()
    for key in ("ArrowRight", "Shift+ArrowDown", "+", "."):
        bench.page.keyboard.press(key)
    after = bench.box()
    assert after["x"] == before["x"] + 1
    assert after["y"] == before["y"] + 10
    assert after["width"] == before["width"] + 4
    assert after["time_us"] == table[1]
