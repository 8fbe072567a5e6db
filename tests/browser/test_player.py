"""A coach looks at a clip frame by frame and takes stills; a student looks too. In Chromium."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from lessons.clips import tasks, times
from lessons.clips.models import Clip, Still
from lessons.visits.models import Lesson
from media_tools.mannequin import read_frame_code
from tests.browser.conftest import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LAPTOP = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}


@pytest.fixture
def desk(
    browser: Browser, live_server: LiveServer, as_coach: Client, ready_clip: Clip
) -> Iterator[Page]:
    """The coach's desk with a small film of 48 frames on the stage."""
    with browser.new_context(viewport=LAPTOP) as context:
        sign_in(context, live_server.url, as_coach)
        page = context.new_page()
        page.goto(live_server.url + reverse("clips:clip", args=[ready_clip.pk]))
        page.wait_for_selector("clip-player[data-ready]")
        yield page


def shown(page: Page, time_us: int) -> None:
    """The player says that the frame of this time is shown."""
    expect(page.locator("[data-shown]")).to_have_text(f"{round(time_us / 1000) / 1000:.3f} s")


def test_each_step_shows_the_next_frame_at_its_true_time(desk: Page, ready_clip: Clip):
    table = times.read(ready_clip)
    for number in (1, 2, 3, 4):
        desk.click("[data-do=forth]")
        shown(desk, table[number])
    desk.click("[data-do=back]")
    shown(desk, table[3])


def test_keys_step_and_the_strip_moves(desk: Page, ready_clip: Clip):
    table = times.read(ready_clip)
    film = desk.get_by_role("slider", name="Place in the clip")
    box = film.bounding_box()
    film.click(position={"x": box["width"] * 0.51, "y": 20})
    middle = times.shown_at(table, ready_clip.duration_us * 51 // 100)
    shown(desk, table[middle])
    desk.focus("clip-player")
    for _ in range(3):
        desk.keyboard.press(".")
    shown(desk, table[middle + 3])
    desk.keyboard.press(",")
    shown(desk, table[middle + 2])
    film.focus()
    desk.keyboard.press("Home")
    shown(desk, 0)
    desk.keyboard.press("ArrowRight")
    shown(desk, table[1])
    assert film.get_attribute("aria-valuetext") == "0.017 s, frame 2 of 48"


def test_the_frame_on_the_screen_is_the_frame_it_says(desk: Page, ready_clip: Clip, tmp_path: Path):
    # The film draws each frame's number into the frame: read from a picture of the screen
    table = times.read(ready_clip)
    for number in (5, 6, 7):
        while desk.inner_text("[data-shown]") != f"{round(table[number] / 1000) / 1000:.3f} s":
            desk.click("[data-do=forth]")
            desk.wait_for_timeout(150)
        video = desk.locator("video[data-front]")
        video.screenshot(path=tmp_path / "screen.png")
        with Image.open(tmp_path / "screen.png") as screen:
            assert read_frame_code(screen.convert("RGB")) == number


def test_a_tap_on_a_position_takes_the_shown_frame(desk: Page, ready_clip: Clip):
    for _ in range(9):
        desk.click("[data-do=forth]")
    shown(desk, times.read(ready_clip)[9])
    desk.click("button[value=P4]")
    card = desk.locator("[data-still][data-position=P4]")
    expect(card).to_contain_text("0.150 s")
    still = Still.objects.get()
    tasks.pull(still.pk)
    expect(card.locator("img")).to_be_visible()  # by itself
    still.refresh_from_db()
    with still.picture.open() as file:
        assert read_frame_code(Image.open(file).convert("RGB")) == 9
    flag = desk.locator(".flag")
    expect(flag).to_have_text("P4")
    desk.focus("[data-film]")
    desk.keyboard.press("Home")
    flag.click()
    shown(desk, still.time_us)


def test_a_still_is_removed_and_brought_back(desk: Page, ready_clip: Clip):
    desk.fill("[name=caption]", "Head and knee")
    desk.click(".take-caption button")
    card = desk.locator("[data-still]")
    expect(card).to_contain_text("Head and knee")
    expect(desk.locator("[name=caption]")).to_have_value("")
    card.get_by_role("button", name="Remove").click()
    expect(card).to_have_count(0)
    desk.get_by_role("button", name="Undo").click()
    expect(card).to_contain_text("Head and knee")


def test_it_plays_slowly_and_loops_a_part(desk: Page, ready_clip: Clip):
    table = times.read(ready_clip)
    for _ in range(4):
        desk.click("[data-do=forth]")
    shown(desk, table[4])
    desk.focus("clip-player")
    desk.keyboard.press("[")
    for _ in range(4):
        desk.click("[data-do=forth]")
    shown(desk, table[8])
    desk.focus("clip-player")
    desk.keyboard.press("]")
    desk.check("input[value='0.25']")
    desk.click("[data-do=play]")
    expect(desk.locator("[data-play-word]")).to_have_text("Pause")
    seen = set()
    for _ in range(20):
        desk.wait_for_timeout(60)
        seen.add(float(desk.inner_text("[data-shown]").removesuffix(" s")))
    desk.click("[data-do=play]")
    assert len(seen) > 2
    assert max(seen) <= round(table[10] / 1000) / 1000
    assert min(seen) >= round(table[4] / 1000) / 1000


def test_the_desk_changes_its_stage_without_a_reload(
    desk: Page, ready_clip: Clip, live_server: LiveServer
):
    other = Clip.objects.get(pk=ready_clip.pk)
    other.pk = None
    other.club = "driver"
    other.save()
    desk.reload()
    desk.evaluate("window.same = true")
    desk.click(f"#clip-{other.pk}")
    expect(desk.get_by_role("heading", name="Face-on, driver")).to_be_visible()
    expect(desk.locator(f"#clip-{other.pk}")).to_have_attribute("aria-current", "page")
    assert desk.evaluate("window.same")
    assert desk.url.endswith(reverse("clips:clip", args=[other.pk]))
    desk.go_back()
    expect(desk.get_by_role("heading", name="Face-on, 7-iron")).to_be_visible()


def test_a_student_swipes_through_the_frames_on_a_phone(
    browser: Browser, live_server: LiveServer, as_student: Client, ready_clip: Clip
):
    Lesson.objects.update(posted_at=timezone.now())
    table = times.read(ready_clip)
    with browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True) as context:
        sign_in(context, live_server.url, as_student)
        page = context.new_page()
        page.goto(live_server.url + reverse("clips:clip", args=[ready_clip.pk]))
        page.wait_for_selector("clip-player[data-ready]")
        swipe = swipes(page)
        swipe(-40)
        shown(page, table[1])
        swipe(-40)
        shown(page, table[2])
        swipe(40)
        shown(page, table[1])
        swipe(-200)
        expect(page.locator("[data-shown]")).to_have_text(re.compile(r"^0\.\d{3} s$"))
        assert page.locator("[data-take], .details").count() == 0
        width = page.evaluate("document.documentElement.scrollWidth")
        assert width == PHONE["width"]
        page.tap("[data-do=loop]")
        page.tap("[data-do=play]")
        expect(page.locator("[data-play-word]")).to_have_text("Pause")


def swipes(page: Page) -> Callable[[int], None]:
    """A finger on the picture that moves so many pixels to the right."""
    finger = page.context.new_cdp_session(page)
    box = page.locator("[data-picture]").bounding_box()
    x, y = box["x"] + box["width"] * 0.7, box["y"] + box["height"] / 2

    def touch(kind: str, points: list[dict]) -> None:
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def swipe(by_px: int) -> None:
        start = x if by_px < 0 else x - by_px
        touch("touchStart", [{"x": start, "y": y}])
        for step in range(1, 6):
            touch("touchMove", [{"x": start + by_px * step / 5, "y": y}])
        touch("touchEnd", [])

    return swipe


def test_a_phone_shows_the_desk_in_three_steps(
    browser: Browser, live_server: LiveServer, as_coach: Client, ready_clip: Clip
):
    with browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True) as context:
        sign_in(context, live_server.url, as_coach)
        page = context.new_page()
        page.goto(live_server.url + reverse("visits:desk", args=[ready_clip.lesson_id]))
        expect(page.locator("#shelf")).to_be_visible()
        expect(page.locator("#stage")).to_be_hidden()
        page.tap(f"#clip-{ready_clip.pk}")
        expect(page.locator("clip-player")).to_be_visible()
        expect(page.locator("#shelf")).to_be_hidden()
        page.tap(".steps [data-step=write]")
        expect(page.locator("#desk-write")).to_be_visible()
        assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
