"""A coach adds the clip of a drill, in Chromium."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from lessons.drills.models import Drill
from portal.accounts.models import User
from tests import factories
from tests.browser.conftest import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def drill(coach: User) -> Drill:
    return factories.DrillFactory(coach=coach, name="Sway gate")


@pytest.fixture
def drill_page(page: Page, live_server: LiveServer, coach: User, drill: Drill) -> Page:
    client = Client()
    client.force_login(coach)
    sign_in(page.context, live_server.url, client)
    page.goto(live_server.url + reverse("drills:drill", args=[drill.pk]))
    return page


def test_a_chosen_clip_becomes_the_drills(drill_page: Page, drill: Drill):
    video = {"name": "gate.mp4", "mimeType": "video/mp4", "buffer": b"\0" * 100_000}
    drill_page.get_by_label("Choose a clip").set_input_files([video])
    expect(drill_page.get_by_text("The clip is being prepared.")).to_be_visible()
    drill.refresh_from_db()
    assert drill.clip.upload.length == 100_000
    assert drill.clip.file_name == "gate.mp4"


def test_a_file_that_is_refused_says_why(drill_page: Page, drill: Drill, settings):
    settings.MAX_CLIP_BYTES = 10
    video = {"name": "gate.mp4", "mimeType": "video/mp4", "buffer": b"\0" * 1000}
    drill_page.get_by_label("Choose a clip").set_input_files([video])
    expect(drill_page.get_by_role("status")).to_contain_text("Trim it")
    drill.refresh_from_db()
    assert drill.clip is None
