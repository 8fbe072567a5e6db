"""A recap is written, kept, chosen between, previewed, posted and read, in Chromium."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from lessons.clips.models import Still
from lessons.recaps.carrying import recap_of
from lessons.recaps.models import Recap
from lessons.visits.models import Lesson
from portal.accounts.models import User
from tests import factories
from tests.browser.conftest import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"width": 390, "height": 844}
LAPTOP = {"width": 1440, "height": 900}


@pytest.fixture
def recap(lesson: Lesson, coach: User) -> Recap:
    """A recap with a finding; a drill in the library; stills at the start and at the end."""
    factories.DrillFactory(coach=coach, name="Sway gate")
    for part in ("start", "end"):
        clip = factories.ClipFactory(lesson=lesson, ready=True, part=part)
        factories.StillFactory(
            clip=clip, state="ready", position="P4", width_px=1280, height_px=720
        )
    recap = recap_of(lesson)
    factories.FindingFactory(recap=recap, what="The hips slide", why="Late", order=0)
    return recap


@pytest.fixture
def open_editor(page: Page, live_server: LiveServer, coach: User, recap: Recap) -> Callable:
    """Opens the editor in a new tab of the coach's browser."""
    client = Client()
    client.force_login(coach)
    sign_in(page.context, live_server.url, client)

    def open_tab() -> Page:
        tab = page.context.new_page()
        tab.set_viewport_size(LAPTOP)
        tab.goto(live_server.url + reverse("recaps:recap", args=[recap.lesson_id]))
        return tab

    return open_tab


def status(tab: Page, words: str) -> None:
    expect(tab.locator("[data-status]")).to_have_text(words)


def stored(recap: Recap) -> Recap:
    return Recap.objects.get(pk=recap.pk)


def test_everything_typed_is_there_after_a_reload(open_editor: Callable, recap: Recap):
    tab = open_editor()
    tab.get_by_label("Main point").fill("Turn inside the barrel")
    tab.get_by_role("button", name="Add a finding").click()
    tab.keyboard.type("Early throw")
    tab.get_by_role("button", name="Give it").click()
    tab.locator("[data-ready-stills] button").first.click()
    tab.get_by_label("Caption").fill("Slid")
    status(tab, "Saved")
    tab.reload()
    expect(tab.get_by_label("Main point")).to_have_value("Turn inside the barrel")
    expect(tab.get_by_label("What you saw").nth(1)).to_have_value("Early throw")
    expect(tab.locator("[data-rows=drills] [data-title]")).to_have_text("Sway gate")
    expect(tab.get_by_label("Caption")).to_have_value("Slid")
    expect(tab.locator("[data-ready-stills] li:visible")).to_have_count(1)


def test_a_reload_right_after_a_key_loses_nothing(open_editor: Callable, recap: Recap):
    tab = open_editor()
    tab.get_by_label("In your words").fill("Breathe out")
    tab.reload()
    expect(tab.get_by_label("In your words")).to_have_value("Breathe out")
    status(tab, "Saved")
    assert stored(recap).body == "Breathe out"


def test_without_a_connection_it_is_kept_and_saved_later(open_editor: Callable, recap: Recap):
    tab = open_editor()
    tab.context.set_offline(True)
    tab.get_by_label("Main point").fill("Typed on the range")
    status(tab, "No connection: kept on this device")
    assert stored(recap).main_point == ""
    tab.context.set_offline(False)
    status(tab, "Saved")
    assert stored(recap).main_point == "Typed on the range"


def test_a_page_that_died_without_a_connection_comes_back(open_editor: Callable, recap: Recap):
    tab = open_editor()
    tab.context.set_offline(True)
    tab.get_by_label("Main point").fill("Typed on the range")
    status(tab, "No connection: kept on this device")
    context = tab.context
    tab.close()
    context.set_offline(False)
    tab = open_editor()
    expect(tab.get_by_label("Main point")).to_have_value("Typed on the range")
    assert stored(recap).main_point == "Typed on the range"
    assert tab.evaluate("Object.keys(localStorage).length") == 0


def test_signed_out_meanwhile_it_is_kept_until_signed_in_again(
    open_editor: Callable, live_server: LiveServer, recap: Recap, coach: User
):
    tab = open_editor()
    tab.context.clear_cookies()
    tab.get_by_label("Main point").fill("Typed after the session ended")
    expect(tab.locator("[data-status]")).to_contain_text("You are signed out: kept on this device")
    client = Client()
    client.force_login(coach)
    sign_in(tab.context, live_server.url, client)
    open_editor().close()
    tab.evaluate("window.dispatchEvent(new Event('focus'))")
    status(tab, "Saved")
    assert stored(recap).main_point == "Typed after the session ended"


def test_two_tabs_choose_and_nothing_is_lost(open_editor: Callable, recap: Recap):
    one, two = open_editor(), open_editor()
    one.get_by_label("Main point").fill("From one")
    status(one, "Saved")
    two.get_by_label("Main point").fill("From two")
    dialog = two.get_by_role("dialog")
    expect(dialog.get_by_text("From one")).to_be_visible()
    expect(dialog.get_by_text("From two")).to_be_visible()
    assert stored(recap).main_point == "From one"
    two.keyboard.press("Escape")
    dialog.get_by_role("button", name="Take theirs").click()
    expect(two.get_by_label("Main point")).to_have_value("From one")
    # What was typed here is still at hand
    two.get_by_role("button", name="Put it back").click()
    expect(two.get_by_label("Main point")).to_have_value("From two")
    assert stored(recap).main_point == "From two"
    # The first tab is asked in its turn, and keeps its own
    one.get_by_label("Main point").fill("From one again")
    one.get_by_role("button", name="Keep mine").click()
    status(one, "Saved")
    expect(one.get_by_label("Main point")).to_have_value("From one again")
    assert stored(recap).main_point == "From one again"


def test_a_removed_row_comes_back_by_undo_and_rows_move(open_editor: Callable, recap: Recap):
    factories.FindingFactory(recap=recap, what="Early throw", order=1)
    tab = open_editor()
    first = tab.locator("[data-rows=findings] > li").first
    first.get_by_role("button", name="Remove").click()
    status(tab, "Saved")
    expect(first.get_by_role("button", name="Undo")).to_be_focused()
    assert [f.what for f in recap.findings.all()] == ["Early throw"]
    first.get_by_role("button", name="Undo").click()
    first.get_by_role("button", name="Move down").click()
    status(tab, "Saved")
    assert [f.what for f in recap.findings.all()] == ["Early throw", "The hips slide"]
    assert recap.findings.get(what="The hips slide").why == "Late"


def test_what_can_not_be_kept_is_said_at_its_row(open_editor: Callable, recap: Recap):
    tab = open_editor()
    tab.get_by_role("button", name="Give it").click()
    row = tab.locator("[data-rows=drills] > li")
    row.get_by_label("times").fill("0")
    expect(row.get_by_role("alert")).to_contain_text("Write 1 or more.")
    row.get_by_label("times").fill("12")
    status(tab, "Saved")
    expect(row.get_by_role("alert")).to_be_hidden()


def test_the_preview_follows_each_saving(open_editor: Callable, recap: Recap):
    tab = open_editor()
    tab.get_by_role("link", name="Preview").click()
    frame = tab.frame_locator("iframe")
    tab.get_by_label("Main point").fill("Turn inside the barrel")
    expect(frame.get_by_role("heading", level=1)).to_have_text("Turn inside the barrel")
    assert frame.locator("html").evaluate("() => innerWidth") == 390
    assert not recap.seen.exists()


def test_posting_waits_for_what_was_just_typed(open_editor: Callable, recap: Recap):
    tab = open_editor()
    tab.get_by_label("Main point").fill("First words")
    post = tab.get_by_role("button", name=f"Post to {recap.lesson.student}")
    expect(post).to_be_visible()
    tab.get_by_label("Main point").fill("Last words")
    post.click()
    expect(tab.get_by_text(f"Posted to {recap.lesson.student}.")).to_be_visible()
    assert stored(recap).main_point == "Last words"
    assert Lesson.objects.get(pk=recap.lesson_id).is_posted


@pytest.fixture
def posted(recap: Recap) -> Recap:
    Recap.objects.filter(pk=recap.pk).update(main_point="Turn inside the barrel")
    for still in Still.objects.all():
        recap.stills.create(still=still)
    recap.lesson.mark_posted()
    return recap


@pytest.fixture
def phone(page: Page, live_server: LiveServer, posted: Recap) -> Page:
    """The student's phone, on the posted lesson."""
    client = Client()
    client.force_login(posted.lesson.student.user)
    sign_in(page.context, live_server.url, client)
    page.set_viewport_size(PHONE)
    page.goto(live_server.url + reverse("recaps:read", args=[posted.lesson_id]))
    return page


def test_the_divider_moves_by_finger_and_by_keys(phone: Page):
    divider = phone.get_by_role("slider")
    expect(divider).to_have_attribute("aria-valuetext", "50 % start, 50 % end")
    box = divider.bounding_box()
    assert box
    middle = box["y"] + box["height"] / 2
    phone.mouse.click(box["x"] + box["width"] * 0.25, middle)
    assert int(divider.input_value()) < 35
    before = int(divider.input_value())
    divider.press("ArrowRight")
    assert int(divider.input_value()) == before + 1
    cut = phone.locator("before-after").evaluate("e => e.style.getPropertyValue('--cut')")
    assert cut


def test_a_finding_opens_by_keyboard(phone: Page):
    expect(phone.get_by_text("Late")).to_be_hidden()
    phone.locator(".findings summary").press("Enter")
    expect(phone.get_by_text("Late")).to_be_visible()


def test_the_main_point_and_what_to_do_stand_on_the_first_screen(phone: Page):
    expect(phone.get_by_role("heading", level=1)).to_be_in_viewport(ratio=1)
    assert phone.evaluate("document.documentElement.scrollWidth") == PHONE["width"]


@pytest.mark.parametrize("size", [PHONE, LAPTOP])
def test_the_editor_and_the_students_page_pass_axe(
    open_editor: Callable, phone: Page, size: dict[str, int]
):
    """axe-core's rules of WCAG 2.0 to 2.2, levels A and AA."""
    tags = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
    phone.set_viewport_size(size)
    tab = open_editor()
    tab.set_viewport_size(size)
    for seen in (phone, tab):
        found = Axe().run(seen, options=tags)
        assert found.violations_count == 0, found.generate_report()
