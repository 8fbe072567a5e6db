"""Pages of questions, notices and the calendar: axe-core's rules (WCAG 2.2 A and AA among them)."""

from __future__ import annotations

import uuid

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page

from lessons.questions.about import Subject
from lessons.questions.service import ask, reply
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.notices.unsubscribing import off_url
from tests import factories
from tests.browser.conftest import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("who", ["as_student", "as_coach"])
def test_they_are_accessible_and_no_wider_than_the_screen(
    request, page: Page, live_server, posted_lesson: Lesson, student: Student, who: str, scheme: str
):
    client: Client = request.getfixturevalue(who)
    factories.RecapFactory(lesson=posted_lesson)
    thread = ask(Subject(posted_lesson), student.user, "Why?", uuid.uuid4()).thread
    reply(thread, student.coach, "Because of the hip.", uuid.uuid4())
    client.post(reverse("practice:calendar"), {"open": "1"})
    paths = [
        reverse("questions:list"),
        thread.get_absolute_url(),
        reverse("notices:wishes"),
        reverse("practice:calendar"),
        reverse("accounts:profile"),
        off_url(student.user, "reply").removeprefix("http://testserver"),
    ]
    if who == "as_student":
        paths += [
            reverse("questions:ask", args=[posted_lesson.pk]),
            reverse("questions:check_in", args=[student.pk]),
            reverse("recaps:read", args=[posted_lesson.pk]),
        ]
    else:
        paths.append(reverse("students:student", args=[student.pk]))
    sign_in(page.context, live_server.url, client)
    page.emulate_media(color_scheme=scheme)
    for path in paths:
        page.goto(live_server.url + path)
        for size in ({"width": 390, "height": 844}, {"width": 1440, "height": 900}):
            page.set_viewport_size(size)
            found = Axe().run(page)
            assert found.violations_count == 0, f"{path} at {size}: {found.generate_report()}"
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
