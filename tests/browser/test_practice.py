"""A student logs practice on a phone, in Chromium."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from lessons.drills.models import Assignment
from lessons.practice.models import Log
from lessons.students.models import Student
from tests import factories
from tests.browser.conftest import sign_in, until

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"width": 390, "height": 844}


@pytest.fixture
def given(student: Student) -> Assignment:
    lesson = factories.LessonFactory(student=student, posted=True)
    factories.RecapFactory(lesson=lesson)
    return factories.AssignmentFactory(lesson=lesson, name="sway gate")


@pytest.fixture
def phone(page: Page, live_server: LiveServer, given: Assignment) -> Page:
    """The student's phone, on their newest lesson."""
    client = Client()
    client.force_login(given.lesson.student.user)
    sign_in(page.context, live_server.url, client)
    page.set_viewport_size(PHONE)
    page.goto(live_server.url + reverse("recaps:read", args=[given.lesson.pk]))
    return page


def settled(page: Page) -> None:
    expect(page.locator(".settled-words")).to_have_text("Done today")


def test_one_tap_settles_and_undo_brings_the_button_back(phone: Page):
    button = phone.get_by_role("button", name="Done today: sway gate")
    expect(button).to_be_in_viewport()
    button.click()
    settled(phone)
    expect(phone.get_by_text("1 of 5 days this week")).to_be_visible()
    expect(phone.locator(".ruler .today.filled")).to_have_count(1)
    expect(phone.get_by_text("All drills done today")).to_be_visible()
    phone.get_by_role("button", name="Undo").click()
    expect(button).to_be_visible()
    expect(button).to_be_focused()
    expect(phone.locator(".ruler .today.filled")).to_have_count(0)
    assert not Log.objects.standing().exists()


def test_a_double_tap_neither_doubles_nor_undoes(phone: Page):
    box = phone.get_by_role("button", name="Done today: sway gate").bounding_box()
    assert box is not None
    # At the right end, where 'Undo' comes up under the thumb
    x, y = box["x"] + box["width"] - 24, box["y"] + box["height"] / 2
    phone.evaluate(
        """([x, y]) => document.addEventListener("htmx:afterSettle", () => {
            const undo = document.querySelector(".entry-undo").getBoundingClientRect();
            const there = undo.left < x && x < undo.right && undo.top < y && y < undo.bottom;
            window.thumb = {there, hits: document.elementFromPoint(x, y).tagName};
        }, {once: true})""",
        [x, y],
    )
    phone.mouse.dblclick(x, y)
    settled(phone)
    until(phone, "window.thumb")
    assert phone.evaluate("window.thumb.there")
    assert phone.evaluate("window.thumb.hits") != "BUTTON"
    assert Log.objects.count() == 1
    assert Log.objects.standing().count() == 1


def test_a_page_gone_back_to_does_not_double(phone: Page):
    address = phone.url
    phone.get_by_role("button", name="Done today: sway gate").click()
    settled(phone)
    phone.goto("about:blank")
    phone.go_back()
    phone.goto(address)
    settled(phone)
    assert Log.objects.count() == 1


def test_more_can_be_said_by_keyboard_and_a_wrong_number_is_told(phone: Page):
    button = phone.get_by_role("button", name="Done today: sway gate")
    button.press("Enter")
    settled(phone)
    expect(phone.locator(".settled-words")).to_be_focused()
    phone.get_by_text("Say more").click()
    phone.get_by_label("Sets").fill("0")
    phone.get_by_label("A note for your coach").fill("The stick helps.")
    phone.get_by_role("button", name="Keep").click()
    expect(phone.get_by_role("alert")).to_contain_text("Write 1 or more")
    expect(phone.get_by_label("A note for your coach")).to_have_value("The stick helps.")
    phone.get_by_label("Sets").fill("2")
    phone.get_by_role("radio", name="good").check()
    phone.get_by_role("button", name="Keep").click()
    expect(phone.locator(".settled-words")).to_have_text("Some of it done today")
    log = Log.objects.get()
    assert (log.sets, log.percent, log.felt, log.note) == (2, 67, 4, "The stick helps.")


def test_targets_are_44_pixels_and_nothing_runs_over_the_side(phone: Page):
    phone.get_by_role("button", name="Done today: sway gate").click()
    settled(phone)
    phone.get_by_text("Say more").click()
    small = phone.evaluate(
        """() => [...document.querySelectorAll(".practice *")]
            .filter((e) => e.matches("button, summary, a, input, textarea"))
            .filter((e) => e.checkVisibility() && !e.closest("p") && e.type !== "hidden")
            .filter((e) => e.getBoundingClientRect().height < 44)
            .map((e) => e.outerHTML.slice(0, 80))"""
    )
    assert small == []
    assert phone.evaluate("document.documentElement.scrollWidth") == PHONE["width"]


def test_without_javascript_the_same_taps_work(
    phone: Page, live_server: LiveServer, given: Assignment
):
    browser = phone.context.browser
    assert browser is not None
    plain = browser.new_context(java_script_enabled=False, viewport=PHONE)
    plain.add_cookies(phone.context.cookies())
    page = plain.new_page()
    page.goto(phone.url)
    page.get_by_role("button", name="Done today: sway gate").click()
    settled(page)
    assert page.url.endswith(f"#given-{given.pk}")
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("button", name="Done today: sway gate")).to_be_visible()
    plain.close()
