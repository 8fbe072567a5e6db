"""Swings side by side in Chromium: the frames that come to the screen say their own numbers."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image, ImageOps
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from lessons.clips import times
from lessons.clips.models import Still
from lessons.pairings import tasks
from lessons.pairings.models import Pairing, PairingSide, SavedPairing
from lessons.students.models import Student
from media_tools.mannequin import read_frame_code
from media_tools.mannequin.framecode import FrameCodeError
from tests import factories
from tests.browser.conftest import sign_in
from tests.marks.conftest import line
from tests.pairings.conftest import (  # noqa: F401 - fixtures
    earlier_lesson,
    filmed,
    late_clip,
    saved_sent,
)
from tests.servers import wait_until

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# fixtures come by name
# ruff: noqa: F811

LAPTOP = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}
Open = Callable[..., Page]


@pytest.fixture
def stage(
    browser: Browser, live_server: LiveServer, as_coach: Client, filmed: Pairing
) -> Iterator[Open]:
    """Opens the pairing's page as its coach; `touch` makes it a phone."""
    opened = []

    def get(*, touch: bool = False) -> Page:
        size: dict[str, Any] = {"viewport": PHONE if touch else LAPTOP}
        context = browser.new_context(**size, has_touch=touch, is_mobile=touch)
        sign_in(context, live_server.url, as_coach)
        page = context.new_page()
        opened.append((context, page))
        page.goto(live_server.url + reverse("pairings:pairing", args=[filmed.pk]))
        page.wait_for_selector("swings-beside[data-ready]")
        return page

    yield get
    for context, page in opened:
        page.goto("about:blank")  # with nothing more on its way
        context.close()


def numbers(page: Page, *, mirrored: int = -1) -> list[int]:
    """What each picture says of itself, in the order in which they stand."""
    found = []
    ids = page.evaluate("document.querySelector('swings-beside').sides.map((side) => side.id)")
    for place, key in enumerate(ids):
        shot = page.locator(f'[data-side="{key}"]').screenshot()
        image = Image.open(io.BytesIO(shot))
        try:
            found.append(read_frame_code(ImageOps.mirror(image) if place == mirrored else image))
        except FrameCodeError:
            found.append(-1)
    return found


def at(pairing: Pairing, *moments: int) -> list[int]:
    """Which frame each swing shows at a time of its clip, by the tables alone."""
    sides = pairing.sides.all()
    return [
        times.shown_at(times.read(side.clip), us) for side, us in zip(sides, moments, strict=True)
    ]


def shows(page: Page, wanted: list[int], **how: int) -> None:
    wait_until(lambda: numbers(page, **how) == wanted, f"{wanted}, not {numbers(page, **how)}")


def saved(page: Page) -> None:
    expect(page.locator("swings-beside [data-status]")).to_have_text("Saved")


def swipe(page: Page, start: tuple[float, float], *on: tuple[float, float]) -> None:
    """A finger goes over the screen."""
    finger = page.context.new_cdp_session(page)
    places = [("touchStart", [start]), *(("touchMove", [spot]) for spot in on), ("touchEnd", [])]
    for kind, spots in places:
        points = [{"x": x, "y": y} for x, y in spots]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})


def middle(page: Page, selector: str) -> tuple[float, float]:
    box = page.locator(selector).bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_they_are_lined_up_and_stepped_together(stage: Open, filmed: Pairing):
    page = stage()
    strike = at(filmed, 600_000, 650_000)
    shows(page, strike)
    for count in (1, 2, 3):
        page.get_by_role("button", name="On one frame").click()
        shows(page, [number + count for number in strike])
    page.keyboard.press(",")
    page.keyboard.press(",")
    shows(page, [number + 1 for number in strike])
    page.keyboard.press("4")  # the first one's top, 200 ms before; in real time
    shows(page, at(filmed, 400_000, 450_000))


def test_by_position_each_shows_its_own(stage: Open, filmed: Pairing):
    page = stage()
    page.get_by_role("button", name="By position").click()
    page.get_by_role("button", name="Go to P4").click()
    shows(page, at(filmed, 400_000, 300_000))
    saved(page)
    assert Pairing.objects.get().by_position
    page.keyboard.press("Control+z")
    shows(page, at(filmed, 400_000, 450_000))
    saved(page)
    assert not Pairing.objects.get().by_position


def test_they_are_scrubbed_together(stage: Open, filmed: Pairing):
    page = stage()
    track = page.get_by_role("slider", name="Moment, all swings together")
    box = track.bounding_box()
    assert box
    height = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + box["width"] / 2, height)
    page.mouse.down()
    for share in (0.5, 0.4, 0.35, 0.45):
        page.mouse.move(box["x"] + box["width"] * share, height, steps=4)
    page.mouse.up()
    clock = int(track.input_value())
    shows(page, at(filmed, 600_000 + clock, 650_000 + clock))


def test_they_play_together_and_stop_at_the_end(stage: Open, filmed: Pairing):
    page = stage()
    page.locator("[data-speeds] input[value='0.5']").check()
    page.get_by_role("button", name="Play").click()
    expect(page.get_by_role("button", name="Pause")).to_be_visible()
    expect(page.get_by_role("button", name="Play")).to_be_visible(timeout=10_000)
    clock = int(page.locator("[data-track] input").input_value())
    assert clock > 100_000
    shows(page, at(filmed, 600_000 + clock, 650_000 + clock))


def test_another_position_and_order_are_kept(stage: Open, filmed: Pairing):
    page = stage()
    page.get_by_label("Lined up at").select_option("P4")
    shows(page, at(filmed, 400_000, 300_000))
    page.get_by_text("Each swing").click()
    page.get_by_role("button", name="Change their order").click()
    shows(page, at(filmed, 400_000, 300_000)[::-1])
    saved(page)
    assert Pairing.objects.get().at == "P4"
    page.reload()
    page.wait_for_selector("swings-beside[data-ready]")
    shows(page, at(filmed, 400_000, 300_000)[::-1])


def test_one_is_lined_up_by_hand_and_put_back(stage: Open, filmed: Pairing):
    page = stage()
    strike = at(filmed, 600_000, 650_000)
    page.get_by_text("Each swing").click()
    row = page.locator("[data-row]").nth(1)
    row.get_by_role("button", name="Later").click()
    shows(page, [strike[0], strike[1] + 1])
    row.get_by_role("button", name="Later").click()
    shows(page, [strike[0], strike[1] + 2])
    saved(page)
    assert filmed.sides.last().aligned_us == times.read(filmed.sides.last().clip)[strike[1] + 2]
    row.get_by_role("button", name="As placed").click()
    shows(page, strike)


def test_one_is_mirrored_and_undone(stage: Open, filmed: Pairing):
    page = stage()
    strike = at(filmed, 600_000, 650_000)
    page.locator("swings-beside").focus()
    page.keyboard.press("m")
    shows(page, strike, mirrored=1)
    saved(page)
    assert list(filmed.sides.values_list("mirrored", flat=True)) == [False, True]
    page.get_by_role("button", name="Undo", exact=True).click()
    shows(page, strike)


def test_laid_over_one_another_the_upper_one_is_as_clear_as_chosen(stage: Open, filmed: Pairing):
    page = stage()
    page.get_by_role("button", name="Overlay").click()
    boxes = [cell.bounding_box() for cell in page.locator("[data-side]").all()]
    assert boxes[0] == boxes[1]
    page.get_by_label("How strongly the upper one shows").fill("100")
    shows(page, [at(filmed, 0, 650_000)[1]] * 2)
    page.get_by_label("How strongly the upper one shows").fill("0")
    shows(page, [at(filmed, 600_000, 0)[0]] * 2)
    saved(page)
    assert Pairing.objects.get().opacity_percent == 0


@pytest.mark.parametrize("touch", [False, True])
def test_two_points_bring_them_to_one_size(stage: Open, filmed: Pairing, touch: bool):
    page = stage(touch=touch)
    page.get_by_role("button", name="Match size").click()
    expect(page.get_by_text("Drag ring 1 and ring 2")).to_be_visible()
    ring = '[data-side="%d"] [data-ring]:nth-child(2)' % filmed.sides.last().pk  # noqa: UP031
    x, y = middle(page, ring)
    before = middle(page, ring)
    if touch:
        swipe(page, (x, y), (x, y - 8), (x, y - 20))
    else:
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x, y - 8, steps=2)
        page.mouse.move(x, y - 20, steps=4)
        page.mouse.up()
    assert middle(page, ring)[1] == pytest.approx(before[1] - 20, abs=2)
    saved(page)
    first, second = filmed.sides.all()
    assert first.points == [[0.5, 0.25], [0.5, 0.85]]
    assert second.points[1][1] < 0.8
    page.get_by_role("button", name="Done").click()
    # Its points lie nearer to one another, so it is shown larger
    sizes = page.evaluate(
        """document.querySelector("swings-beside").sides.map(
          (side) => side.sheet.getBoundingClientRect().width)"""
    )
    assert sizes[1] / sizes[0] == pytest.approx(0.6 / (second.points[1][1] - 0.25), rel=0.01)
    page.get_by_role("button", name="As filmed").click()
    saved(page)
    assert not PairingSide.objects.exclude(points=None).exists()
    page.get_by_role("button", name="Undo", exact=True).click()
    saved(page)
    assert filmed.sides.last().points == second.points


def test_a_finger_steps_and_scrubs_both(stage: Open, filmed: Pairing):
    page = stage(touch=True)
    strike = at(filmed, 600_000, 650_000)
    shows(page, strike)
    x, y = middle(page, "[data-stage]")
    swipe(page, (x, y), (x - 15, y), (x - 40, y))
    shows(page, [number + 1 for number in strike])
    swipe(page, (x, y), (x + 15, y), (x + 40, y))
    shows(page, strike)
    swipe(page, (x, y), (x + 40, y), (x + 80, y), (x + 140, y))
    wait_until(lambda: numbers(page)[0] < strike[0] - 3, "both moved back")
    clock = int(page.locator("[data-track] input").input_value())
    shows(page, at(filmed, 600_000 + clock, 650_000 + clock))


def test_on_a_phone_nothing_is_wider_than_the_screen_or_too_small(stage: Open):
    page = stage(touch=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    for button in page.locator("swings-beside button:visible, .beside-track input").all():
        box = button.bounding_box()
        assert box
        assert box["height"] >= 44, button.inner_text()


def test_a_moment_is_saved_and_its_student_reads_it(
    stage: Open,
    filmed: Pairing,
    saved_sent: list[int],
    student: Student,
    as_student: Client,
    browser: Browser,
    live_server: LiveServer,
):
    page = stage()
    page.locator("swings-beside").focus()
    page.keyboard.press(".")
    page.keyboard.press("m")
    page.get_by_role("button", name="Save this moment").click()
    expect(page.get_by_text("The picture is being made")).to_be_visible()
    row = SavedPairing.objects.get()
    assert row.recipe["sides"][1]["mirrored"]  # what was set just before is in it
    tasks.save(row.pk)
    picture = page.locator("#saved-pairings img")
    expect(picture).to_be_visible(timeout=6_000)
    page.get_by_label("What to look at").fill("Here the hips are level")
    page.get_by_label("What to look at").blur()
    wait_until(lambda: SavedPairing.objects.filter(caption__startswith="Here").exists(), "kept")

    filmed.lesson.mark_posted()
    with browser.new_context(viewport=PHONE) as context:
        sign_in(context, live_server.url, as_student)
        reading = context.new_page()
        reading.goto(live_server.url + reverse("recaps:read", args=[filmed.lesson.pk]))
        shown = reading.get_by_role("img", name="Your swing side by side")
        shown.scroll_into_view_if_needed()
        wait_until(lambda: shown.evaluate("(image) => image.naturalWidth") > 300, "it is loaded")
        assert reading.get_by_text("Here the hips are level").is_visible()


def test_choosing_swings_leads_to_them(
    stage: Open, filmed: Pairing, browser: Browser, live_server: LiveServer
):
    page = stage()
    page.goto(live_server.url + reverse("visits:desk", args=[filmed.lesson.pk]))
    page.get_by_role("link", name="Choose swings").click()
    expect(page.locator("[name=swings]")).to_have_count(2)
    for box in page.locator("[name=swings]").all():
        box.check()
    page.get_by_role("button", name="Lay them side by side").click()
    page.wait_for_selector("swings-beside[data-ready]")
    assert Pairing.objects.count() == 2


def test_what_could_not_be_saved_is_kept_and_tried_again(stage: Open, filmed: Pairing):
    page = stage()
    page.context.set_offline(True)
    page.get_by_role("button", name="By position").click()
    expect(page.get_by_text("Not saved yet: no connection")).to_be_visible()
    page.get_by_role("button", name="Save this moment").click()
    page.context.set_offline(False)
    expect(page.locator("swings-beside [data-status]")).to_have_text("Saved", timeout=10_000)
    assert Pairing.objects.get().by_position
    assert not SavedPairing.objects.exists()  # not of how it was shown before


def test_drawing_on_a_frame_puts_the_marks_over_it(stage: Open, filmed: Pairing):
    page = stage()
    side = filmed.sides.first()
    page.get_by_text("Each swing", exact=True).click()
    page.locator("[data-row]").first.get_by_role("button", name="Draw on this frame").click()
    page.wait_for_url("**/stills/**")
    still = side.clip.stills.get()
    assert (still.position, times.at(times.read(side.clip), 600_000)) == ("P7", still.time_us)
    Still.objects.update(state=Still.State.READY, width_px=320, height_px=180)
    factories.MarkSetFactory(still=still, marks=[line(points=[[200, 40], [300, 160]])])
    page.goto(page.url.partition("/stills/")[0] + reverse("pairings:pairing", args=[filmed.pk]))
    page.wait_for_selector("swings-beside[data-ready]")
    marks = page.locator(f'[data-side="{side.pk}"] svg[data-way=plain]')
    expect(marks).to_be_visible()
    page.locator("swings-beside").focus()
    page.keyboard.press(".")
    expect(marks).to_be_hidden()
    page.keyboard.press(",")
    expect(marks).to_be_visible()
    page.get_by_role("button", name="Marks").click()
    expect(marks).to_be_hidden()


def test_keys_work_on_arrival(stage: Open, filmed: Pairing):
    page = stage()
    strike = at(filmed, 600_000, 650_000)
    shows(page, strike)
    assert page.evaluate("document.activeElement === document.body")
    page.keyboard.press(".")
    shows(page, [number + 1 for number in strike])
    page.keyboard.press("4")
    shows(page, at(filmed, 400_000, 450_000))


def test_a_film_stands_still_where_they_are_lined_up_unless_told_otherwise(stage: Open):
    page = stage()
    page.get_by_text("Save a film").click()
    pauses = page.locator("[name=pauses]:checked")
    assert [one.input_value() for one in pauses.all()] == ["P7"]
    page.get_by_label("Lined up at").select_option("P4")
    assert [one.input_value() for one in pauses.all()] == ["P4"]
    page.locator("[name=pauses][value=P10]").check()  # chosen by hand: left alone from now on
    page.get_by_label("Lined up at").select_option("P7")
    assert [one.input_value() for one in pauses.all()] == ["P4", "P10"]


def test_a_moment_says_what_it_is_counted_from(stage: Open):
    page = stage()
    expect(page.locator("[data-shown]")).to_have_text("at P7")
    page.get_by_role("button", name="On one frame").click()
    expect(page.locator("[data-shown]")).to_have_text(re.compile(r"^0\.0\d\d s after P7$"))
