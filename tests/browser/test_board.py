"""The board, a nudge, the brief with its notes and its print, and the road, in Chromium."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from lessons.board.models import Nudge, Preparation
from lessons.programmes.models import Programme
from lessons.students.models import Student
from portal.accounts.models import User
from tests import factories
from tests.board.conftest import practised, taught
from tests.browser.conftest import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"width": 390, "height": 844}
LAPTOP = {"width": 1440, "height": 900}
# Writes the objects of a PDF that are pages, not the tree of them (ISO 32000-1, 7.7.3)
PDF_PAGE = re.compile(rb"/Type\s*/Page\b")


@pytest.fixture
def busy(student: Student) -> Student:
    """A student with all that a brief can show, and more notes than one sheet holds."""
    student.cautions = "Shoulder operation last year. Stop on pain."
    student.aims = "Play eighteen holes without being sore the day after."
    student.save()
    lesson = taught(student, 20)
    for number in range(3):
        given = factories.AssignmentFactory(lesson=lesson, name=f"Drill {number}")
        type(given).objects.filter(pk=given.pk).update(created_at=lesson.posted_at)
    for what in ("The hips slide", "The club is thrown", "The grip is weak"):
        factories.FindingFactory(recap=lesson.recap, what=what)
    note = "Went well at half speed, and fell apart at full speed after ten balls or so."
    for day in range(1, 18):
        practised(lesson, "sway gate", day, felt=1 + day % 5, note=note, hurt=day == 16)
    return student


@pytest.fixture
def open_page(page: Page, live_server: LiveServer, coach: User) -> Callable[[str], Page]:
    """Opens a path of the site as the coach."""
    client = Client()
    client.force_login(coach)
    sign_in(page.context, live_server.url, client)

    def go(path: str) -> Page:
        page.goto(live_server.url + path)
        return page

    return go


def path_of(name: str, student: Student) -> str:
    return reverse(name, args=[student.pk])


@pytest.mark.parametrize("size", [PHONE, LAPTOP])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_is_accessible_and_fits(open_page, busy: Student, size, scheme: str):
    programme = Programme.objects.create(
        student=busy,
        title="Six lessons",
        lessons_planned=6,
        begins_on=busy.lessons.get().date,
    )
    programme.aims.create(words="Stop the hook")
    pages = [
        reverse("board:board"),
        reverse("board:words"),
        f"{reverse('board:give')}?student={busy.pk}",
        path_of("board:brief", busy),
        path_of("board:nudge", busy),
        path_of("programmes:add", busy),
        reverse("programmes:road", args=[programme.pk]),
        reverse("programmes:edit", args=[programme.pk]),
    ]
    for path in pages:
        page = open_page(path)
        page.set_viewport_size(size)
        page.emulate_media(color_scheme=scheme)
        found = Axe().run(page)
        assert not found.response["violations"], (path, found.generate_report())
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path


def test_a_nudge_goes_out_with_the_keyboard_alone(open_page, busy: Student):
    page = open_page(reverse("board:board"))
    page.get_by_role("link", name=f"Nudge {busy.name}").press("Enter")
    words = page.get_by_label("Your words")
    expect(words).not_to_be_empty()
    words.fill("One set counts.")
    page.get_by_role("button", name="Send").press("Enter")
    expect(page.get_by_text(f"Sent to {busy.name}.")).to_be_visible()
    assert Nudge.objects.get().text == "One set counts."


def test_the_brief_prints_on_one_sheet(open_page, busy: Student):
    page = open_page(path_of("board:brief", busy))
    page.locator("visit-notes textarea").fill("Look at the grip first.\n" * 8)
    expect(page.locator("visit-notes [data-status]")).to_have_text("Saved")
    sheet = page.pdf(prefer_css_page_size=True)
    assert len(PDF_PAGE.findall(sheet)) == 1


def test_notes_are_saved_as_they_are_typed(open_page, busy: Student):
    page = open_page(path_of("board:brief", busy))
    notes = page.get_by_role("textbox", name="Prepare")
    notes.press_sequentially("Grip")
    status = page.locator("visit-notes [data-status]")
    expect(status).to_have_text("Saved")
    notes.press_sequentially(", then tempo")
    expect(status).to_have_text("Saving")
    expect(status).to_have_text("Saved")
    assert Preparation.objects.get().text == "Grip, then tempo"
    page.reload()
    expect(notes).to_have_value("Grip, then tempo")


def test_notes_typed_without_a_connection_are_kept(open_page, busy: Student):
    page = open_page(path_of("board:brief", busy))
    page.context.set_offline(True)
    page.get_by_role("textbox", name="Prepare").fill("Typed at the range")
    status = page.locator("visit-notes [data-status]")
    expect(status).to_contain_text("Kept on this device")
    page.context.set_offline(False)
    expect(status).to_have_text("Saved", timeout=15_000)
    assert Preparation.objects.get().text == "Typed at the range"


def test_two_pages_choose_between_their_notes(open_page, busy: Student):
    page = open_page(path_of("board:brief", busy))
    Preparation.objects.get().replace(0, "From the phone")
    page.get_by_role("textbox", name="Prepare").fill("From the desk")
    expect(page.get_by_text("From the phone")).to_be_visible()
    page.get_by_role("button", name="Keep what is here").click()
    expect(page.locator("visit-notes [data-status]")).to_have_text("Saved")
    assert Preparation.objects.get().text == "From the desk"
