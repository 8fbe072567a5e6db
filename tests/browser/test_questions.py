"""Questions and check-in clips on a phone, in Chromium."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, Route, expect
from pytest_django.live_server_helper import LiveServer

from lessons.clips.models import Clip
from lessons.questions.models import Message, Thread
from lessons.visits.models import Lesson
from tests import factories
from tests.browser.conftest import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"width": 390, "height": 844}


@pytest.fixture
def lesson_read(posted_lesson: Lesson) -> Lesson:
    factories.RecapFactory(lesson=posted_lesson)
    factories.AssignmentFactory(lesson=posted_lesson, name="sway gate")
    return posted_lesson


@pytest.fixture
def open_page(page: Page, live_server: LiveServer, as_student: Client) -> Callable[..., Page]:
    """The student's phone, at an address."""
    sign_in(page.context, live_server.url, as_student)
    page.set_viewport_size(PHONE)

    def opened(name: str, pk: int, query: str = "") -> Page:
        page.goto(live_server.url + reverse(name, args=[pk]) + query)
        return page

    return opened


def test_a_question_is_asked_from_the_lesson_page(open_page, lesson_read: Lesson):
    page = open_page("recaps:read", lesson_read.pk)
    page.get_by_label("About").select_option("Drill: sway gate")
    page.get_by_label("Ask a question").fill("How slow?")
    page.get_by_role("button", name="Send", exact=True).click()
    expect(page.get_by_role("heading", name="sway gate")).to_be_visible()
    expect(page.locator(".message-text")).to_have_text("How slow?")
    page = open_page("recaps:read", lesson_read.pk)
    expect(page.get_by_label("Ask a question")).to_have_value("")
    expect(page.locator(".thread-row")).to_contain_text("How slow?")


def test_words_outlive_a_reload_and_a_lost_connection(open_page, lesson_read: Lesson):
    page = open_page("questions:ask", lesson_read.pk)
    words = page.get_by_label("Your question")
    words.fill("Does the head")
    page.reload()
    expect(words).to_have_value("Does the head")
    expect(page.get_by_text("What you typed before is still here.")).to_be_visible()
    words.press_sequentially(" stay?")
    page.context.set_offline(True)
    page.get_by_role("button", name="Send").click()
    expect(page.get_by_role("alert")).to_contain_text("No connection. Nothing is lost")
    page.context.set_offline(False)
    page.get_by_role("button", name="Send").click()
    expect(page.locator(".message-text")).to_have_text("Does the head stay?")
    assert page.evaluate("Object.keys(localStorage)") == []
    assert Message.objects.count() == 1


def test_an_answer_that_got_lost_does_not_double_the_message(open_page, lesson_read: Lesson):
    page = open_page("questions:ask", lesson_read.pk)

    def lost(route: Route) -> None:
        route.fetch()  # the site has it, the phone does not know
        route.abort()

    page.route("**/ask/", lambda route: lost(route) if route.request.method == "POST" else None)
    page.get_by_label("Your question").fill("Once?")
    page.get_by_role("button", name="Send").click()
    expect(page.get_by_role("alert")).to_be_visible()
    page.unroute("**/ask/")
    page.reload()
    expect(page.get_by_label("Your question")).to_have_value("Once?")
    page.get_by_role("button", name="Send").click()
    expect(page.locator(".message-text")).to_have_text("Once?")
    assert Message.objects.count() == 1


def test_too_long_words_stay_with_the_reason(open_page, lesson_read: Lesson):
    page = open_page("questions:ask", lesson_read.pk)
    page.evaluate("document.querySelector('[name=text]').removeAttribute('maxlength')")
    page.get_by_label("Your question").fill("x" * 4001)
    page.get_by_role("button", name="Send").click()
    expect(page.get_by_role("alert")).to_contain_text("Shorten this to 4,000 letters")
    expect(page.get_by_label("Your question")).to_have_value("x" * 4001)


def test_a_clip_is_sent_and_stands_in_its_thread(
    open_page, lesson_read: Lesson, swing_file: Path, no_worker: list[int]
):
    page = open_page("questions:check_in", lesson_read.student_id)
    page.get_by_label("What should").fill("From behind,\nlast swing")
    with page.expect_file_chooser() as chooser:
        page.get_by_role("button", name="Choose a clip").click()
    chooser.value.set_files(swing_file)
    expect(page.locator("[data-preview]")).to_be_visible()
    page.get_by_label("The camera stood").select_option("down-the-line")
    page.get_by_role("button", name="Send the clip").click()
    expect(page.get_by_text("The clip has arrived and is being prepared")).to_be_visible()
    expect(page.locator(".message-text")).to_have_text("From behind, last swing")
    clip = Clip.objects.get()
    assert (clip.view, clip.lesson, Thread.objects.get().is_check_in) == (
        "down-the-line",
        None,
        True,
    )
    assert page.evaluate("Object.keys(localStorage)") == []


def test_a_clip_goes_on_after_a_reload(
    open_page, lesson_read: Lesson, swing_file: Path, no_worker: list[int]
):
    page = open_page("questions:check_in", lesson_read.student_id)

    def broken(route: Route) -> None:
        if route.request.method == "PATCH":
            route.abort()
        else:
            route.continue_()

    page.route("**/uploads/**", broken)
    with page.expect_file_chooser() as chooser:
        page.get_by_role("button", name="Film now").click()
    chooser.value.set_files(swing_file)
    page.get_by_role("button", name="Send the clip").click()
    expect(page.locator(".transfer:not([hidden])")).to_contain_text("Sending goes on by itself")
    page.unroute("**/uploads/**")
    page.reload()
    expect(page.get_by_text("The clip has arrived and is being prepared")).to_be_visible()
    assert Clip.objects.count() == 1


def test_what_is_no_video_is_not_taken(open_page, lesson_read: Lesson, tmp_path: Path):
    page = open_page("questions:check_in", lesson_read.student_id)
    photo = tmp_path / "IMG_0003.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0")
    with page.expect_file_chooser() as chooser:
        page.get_by_role("button", name="Choose a clip").click()
    chooser.value.set_files(photo)
    expect(page.get_by_text("IMG_0003.jpg is not a video. Choose a clip.")).to_be_visible()
    expect(page.get_by_role("button", name="Send the clip")).to_be_hidden()


@pytest.mark.parametrize("name", ["questions:ask", "questions:check_in"])
def test_targets_are_44_pixels_and_nothing_runs_over_the_side(
    open_page, lesson_read: Lesson, name: str
):
    pk = lesson_read.pk if name == "questions:ask" else lesson_read.student_id
    page = open_page(name, pk)
    small = page.evaluate(
        """() => [...document.querySelectorAll("main button, main select, main textarea, main a")]
            .filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 44)
            .map((e) => e.outerHTML.slice(0, 80))"""
    )
    assert small == []
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
