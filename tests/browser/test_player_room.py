"""What stands under a picture stays put while the picture is still on its way, in Chromium."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Page, Route
from pytest_django.live_server_helper import LiveServer

from lessons.clips.models import Clip, SwingSearch
from tests import factories
from tests.browser.conftest import sign_in, until
from tests.browser.test_player import LAPTOP, PHONE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

CUT, WHOLE = ("study",), ("watch", "poster")
SHOWN_BY = {CUT: "study", WHOLE: "watch"}


@pytest.fixture
def clip(ready_clip: Clip) -> Clip:
    """The small film, smaller than the room that a picture may take, with a swing."""
    SwingSearch.objects.update(state=SwingSearch.State.DONE)
    factories.SwingFactory(
        clip=ready_clip, begin_us=50_000, top_us=400_000, strike_us=500_000, finish_us=750_000
    )
    return ready_clip


def tops(page: Page) -> list[float]:
    """Where the frame strip and the lane of handles begin, in pixels of the page."""
    return page.evaluate(
        """() => ["[data-film]", "[data-close]"].map((one) =>
             document.querySelector(one).getBoundingClientRect().top + scrollY)"""
    )


@pytest.mark.parametrize("size", [LAPTOP, PHONE], ids=["desk", "phone"])
@pytest.mark.parametrize("late", [CUT, WHOLE], ids=["cut", "whole"])
def test_a_picture_that_comes_late_pushes_nothing(
    browser: Browser,
    live_server: LiveServer,
    as_coach: Client,
    clip: Clip,
    size: dict[str, int],
    late: tuple[str, ...],
):
    with browser.new_context(viewport=size) as context:
        sign_in(context, live_server.url, as_coach)
        page = context.new_page()
        held: list[Route] = []
        name = SHOWN_BY[late]

        def hold(route: Route) -> None:
            held.append(route) if before is None else route.continue_()

        before: list[float] | None = None
        page.route(lambda url: url.rstrip("/").endswith(late), hold)
        page.goto(
            live_server.url + reverse("clips:clip", args=[clip.pk]), wait_until="domcontentloaded"
        )
        page.wait_for_selector("clip-player[data-ready]")
        video = f"document.querySelector('[data-video={name}]')"
        page.wait_for_timeout(300)  # it has had the time to ask
        assert page.evaluate(f"{video}.readyState") == 0
        before = tops(page)
        for route in held:
            route.continue_()
        until(page, f"{video}.readyState >= 2")
        page.evaluate("new Promise(requestAnimationFrame)")
        assert tops(page) == before
