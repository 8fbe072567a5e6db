"""The swings of a clip on the stage, in Chromium: chosen, looped, set right, added, kept."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser, Locator, Page, Route, expect
from pytest_django.live_server_helper import LiveServer

from lessons.clips import tasks, times
from lessons.clips.models import Clip, Cut, Swing, SwingSearch
from lessons.visits.models import Lesson
from tests import factories
from tests.browser.conftest import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LAPTOP = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}


@pytest.fixture
def clip(ready_clip: Clip) -> Clip:
    """The small film with two swings, its search done."""
    SwingSearch.objects.update(state=SwingSearch.State.DONE)
    for begin in (0, 400_000):
        factories.SwingFactory(
            clip=ready_clip,
            begin_us=begin + 50_000,
            top_us=begin + 166_667,
            strike_us=begin + 250_000,
            finish_us=begin + 350_000,
        )
    return ready_clip


def opened(page: Page, live_server: LiveServer, clip: Clip) -> Page:
    page.goto(live_server.url + reverse("clips:clip", args=[clip.pk]))
    page.wait_for_selector("clip-player[data-ready]")
    return page


@pytest.fixture
def desk(browser: Browser, live_server: LiveServer, as_coach: Client, clip: Clip) -> Iterator[Page]:
    with browser.new_context(viewport=LAPTOP) as context:
        sign_in(context, live_server.url, as_coach)
        yield opened(context.new_page(), live_server, clip)


@pytest.fixture
def phone(
    browser: Browser, live_server: LiveServer, as_coach: Client, clip: Clip
) -> Iterator[Page]:
    with browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True) as context:
        sign_in(context, live_server.url, as_coach)
        yield opened(context.new_page(), live_server, clip)


def shown(page: Page, time_us: int) -> None:
    expect(page.locator("[data-shown]")).to_have_text(f"{round(time_us / 1000) / 1000:.3f} s")


def step_to(page: Page, clip: Clip, time_us: int) -> int:
    """Step on until the frame of a time is shown; its own time."""
    own = times.at(times.read(clip), time_us)
    page.focus("[data-film]")
    page.keyboard.press("Home")
    shown(page, 0)
    table = times.read(clip)
    for index in range(1, table.index(own) + 1):
        page.click("[data-do=forth]")
        shown(page, table[index])
    return own


def middle_of(place: Locator) -> tuple[float, float]:
    box = place.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_next_and_previous_go_to_where_a_swing_begins(desk: Page, clip: Clip):
    table = times.read(clip)
    name = desk.locator(".swing-name")
    expect(name).to_have_text("Swing 1 of 2")
    desk.click("#next-swing")
    expect(name).to_have_text("Swing 2 of 2")
    shown(desk, times.at(table, 450_000))
    expect(desk.locator("[data-swing]:visible")).to_have_count(1)
    desk.focus("clip-player")
    desk.keyboard.press("p")
    expect(name).to_have_text("Swing 1 of 2")
    shown(desk, times.at(table, 50_000))
    desk.click(".block >> nth=1")  # along the whole clip
    expect(name).to_have_text("Swing 2 of 2")


def test_a_swing_is_played_over_and_over(desk: Page, clip: Clip):
    desk.check("input[value='0.5']")
    desk.click("#next-swing")
    desk.click("#loop-swing")
    expect(desk.locator("[data-play-word]")).to_have_text("Pause")
    seen = []
    for _ in range(25):
        desk.wait_for_timeout(60)
        seen.append(float(desk.inner_text("[data-shown]").removesuffix(" s")))
    assert min(seen) >= 0.433
    assert max(seen) <= 0.8
    assert any(after < before for before, after in pairwise(seen))  # again


def test_the_shown_frame_becomes_the_top(desk: Page, clip: Clip):
    own = step_to(desk, clip, 200_000)
    swing = clip.swings.first()
    desk.click(f"#place-{swing.pk}-P4")
    expect(desk.locator(f"#swing-{swing.pk}")).to_contain_text("set right by hand")
    swing.refresh_from_db()
    assert swing.top_us == own
    desk.click("[data-do=forth]")
    after = times.read(clip)[times.read(clip).index(own) + 1]
    shown(desk, after)
    desk.focus("clip-player")
    desk.keyboard.press("t")
    expect(desk.locator("[data-handle=P4]")).to_have_attribute("data-us", str(after))


def test_what_is_out_of_order_is_refused_on_the_spot(desk: Page, clip: Clip):
    step_to(desk, clip, 30_000)
    swing = clip.swings.first()
    desk.click(f"#place-{swing.pk}-P4")
    expect(desk.get_by_role("alert")).to_contain_text("P4 comes after P1")


def test_a_handle_is_dragged_by_mouse(desk: Page, clip: Clip):
    swing = clip.swings.first()
    handle = desk.locator("[data-handle=P4]")
    handle.scroll_into_view_if_needed()
    x, y = middle_of(handle)
    lane = desk.locator("[data-close]").bounding_box()
    span_us = min(clip.duration_us, swing.finish_us + 300_000)
    by_px = lane["width"] * 50_000 / span_us
    desk.mouse.move(x, y)
    desk.mouse.down()
    desk.mouse.move(x + by_px / 2, y)
    desk.mouse.move(x + by_px, y)
    desk.mouse.up()
    expect(desk.locator(f"#swing-{swing.pk}")).to_contain_text("set right by hand")
    swing.refresh_from_db()
    # by 50 ms, to a frame's own time
    assert swing.top_us in times.read(clip)
    assert abs(swing.top_us - 216_667) < 25_000
    shown(desk, swing.top_us)


def test_a_handle_is_dragged_by_a_finger(phone: Page, clip: Clip):
    swing = clip.swings.first()
    handle = phone.locator("[data-handle=P10]")
    handle.scroll_into_view_if_needed()
    assert handle.bounding_box()["width"] >= 44
    x, y = middle_of(handle)
    finger = phone.context.new_cdp_session(phone)

    def touch(kind: str, points: list[dict]) -> None:
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", [{"x": x, "y": y}])
    for step in range(1, 6):
        touch("touchMove", [{"x": x + 6 * step, "y": y}])
    touch("touchEnd", [])
    expect(phone.locator(f"#swing-{swing.pk}")).to_contain_text("set right by hand")
    swing.refresh_from_db()
    assert swing.finish_us > 370_000
    assert phone.evaluate("document.documentElement.scrollWidth") == PHONE["width"]


def test_a_tap_on_a_handle_only_shows_its_frame(desk: Page, clip: Clip):
    desk.locator("[data-handle=P7]").click()
    shown(desk, times.at(times.read(clip), 250_000))
    assert not clip.swings.filter(is_corrected=True).exists()


def test_a_swing_is_added_kept_removed_and_brought_back(desk: Page, clip: Clip):
    own = step_to(desk, clip, 380_000)
    desk.click("#add-swing")
    expect(desk.locator(".swing-name")).to_contain_text("of 3")
    added = Swing.objects.get(by=Swing.By.HAND)
    assert added.strike_us == own
    expect(desk.locator(f"#swing-{added.pk}")).to_be_visible()  # it is the chosen one
    desk.click(f"#keep-{added.pk}")
    expect(desk.locator(f"#keep-{added.pk}")).to_have_text("Kept")
    assert Swing.objects.get(is_kept=True) == added
    desk.click(f"#remove-swing-{added.pk}")
    expect(desk.locator(".swing-name")).to_contain_text("of 2")
    desk.click(f"#undo-swing-{added.pk}")
    expect(desk.locator(f"#swing-{added.pk}")).to_be_visible()


def test_outside_of_every_cut_it_says_so_and_makes_one_by_a_tap(
    desk: Page, clip: Clip, live_server: LiveServer
):
    Cut.objects.update(begin_us=600_000)
    desk.reload()
    desk.wait_for_selector("clip-player[data-ready]")
    notice = desk.locator("[data-unsteppable]")
    expect(notice).to_be_hidden()  # nobody has asked for a frame yet
    desk.click("[data-do=forth]")  # the light picture still steps, and tells the true time
    shown(desk, times.read(clip)[1])
    expect(notice).to_contain_text("Frame by frame is ready for the swings only")
    desk.get_by_role("button", name="Make it steppable here").click()
    expect(notice).to_contain_text("will be ready here soon")
    cut = Cut.objects.get(begin_us=0)
    Cut.objects.filter(pk=cut.pk).update(state=Cut.State.MAKING, progress_permille=420)
    expect(notice).to_contain_text("42 %")
    Cut.objects.filter(pk=cut.pk).update(state=Cut.State.WANTED)
    tasks.cut(cut.pk)
    expect(notice).to_be_hidden()  # by itself
    desk.click("[data-do=forth]")
    shown(desk, times.read(clip)[2])
    expect(desk.locator("[data-video=study][data-front]")).to_have_count(1)


def test_a_cut_that_went_into_a_bigger_one_is_no_trouble(desk: Page, clip: Clip):
    smaller = clip.cuts.get()
    bigger = Cut.objects.get(pk=smaller.pk)
    bigger.pk = None

    def gone(route: Route) -> None:
        bigger.save()
        smaller.delete()  # the page still names it
        route.fulfill(status=404)

    desk.route(f"**/cuts/{smaller.pk}/study/", gone)
    desk.reload()
    desk.wait_for_selector("clip-player[data-ready]")
    expect(desk.locator(f"[data-cut][data-url='/cuts/{bigger.pk}/study/']")).to_have_count(1)
    desk.click("[data-do=forth]")
    shown(desk, times.read(clip)[1])
    study = desk.locator(f"[data-video=study][data-front][src='/cuts/{bigger.pk}/study/']")
    expect(study).to_have_count(1)
    expect(desk.locator("[data-trouble-video]")).to_be_hidden()


def test_a_cut_is_cancelled_and_asked_for_again(desk: Page, clip: Clip):
    Cut.objects.update(state=Cut.State.WANTED, begin_us=0)
    desk.reload()
    desk.wait_for_selector("clip-player[data-ready]")
    desk.get_by_role("button", name="Cancel making this part ready").click()
    expect(desk.get_by_text("Making 0.0 to")).to_have_count(0)
    assert Cut.objects.get().is_cancelled
    desk.click("[data-do=forth]")
    notice = desk.locator("[data-unsteppable]")
    expect(notice).to_contain_text("was cancelled")
    desk.get_by_role("button", name="Make it steppable here").click()
    expect(notice).to_contain_text("will be ready here soon")


def test_all_times_are_real_once_the_rate_is_stated(desk: Page, clip: Clip):
    desk.get_by_text("About this clip").click()
    desk.fill("[name=filmed_hz]", "240")
    desk.get_by_role("button", name="Save the rate").click()
    expect(desk.get_by_text("Filmed at 240 frames a second")).to_be_visible()
    desk.wait_for_selector("clip-player[data-ready]")
    desk.click("[data-do=forth]")
    shown(desk, times.read(clip)[1] // 4)  # it is stored with 60
    expect(desk.locator(".tempo:visible")).to_contain_text("Backswing 0.03 s")
    desk.click("[data-do=play]")
    expect(desk.locator("[data-play-word]")).to_have_text("Pause")
    assert desk.evaluate("document.querySelector('video[data-front]').playbackRate") == (
        pytest.approx(4, abs=0.01)
    )


def test_a_student_looks_at_swings_and_moves_nothing(
    browser: Browser, live_server: LiveServer, as_student: Client, clip: Clip
):
    Lesson.objects.update(posted_at=timezone.now())
    with browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True) as context:
        sign_in(context, live_server.url, as_student)
        page = opened(context.new_page(), live_server, clip)
        page.tap("#next-swing")
        expect(page.locator(".swing-name")).to_have_text("Swing 2 of 2")
        expect(page.locator(".handle.movable")).to_have_count(0)
        page.locator("[data-handle=P4]").tap()
        shown(page, times.at(times.read(clip), 566_667))
        assert page.locator("[data-places], #add-swing").count() == 0
