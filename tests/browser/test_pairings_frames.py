"""Swings filmed at different rates, side by side: every picture is the frame of its own table.

The files carry each frame's number in the frame (tests/media_tools/clips.py); it is read back from
a picture of the browser's screen.
"""

from __future__ import annotations

import io
import random
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Browser, Page
from pytest_django.live_server_helper import LiveServer

from lessons.clips import tasks, times
from lessons.clips.models import Clip
from lessons.pairings.models import Pairing
from lessons.pairings.offering import Offer
from lessons.pairings.recipe import recipe_of
from lessons.pairings.service import begin_pairing
from lessons.pairings.sides import sides_of
from lessons.visits.models import Lesson
from tests.browser.conftest import sign_in
from tests.media_tools.clips import PASSTHROUGH, Recipe, make, read_number
from tests.media_tools.recipes import VARIABLE
from tests.pairings.conftest import saved_sent, swing_of  # noqa: F401 - a fixture
from tests.servers import wait_until

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

FILES = {
    "30": Recipe(rate=30),
    "240": Recipe(rate=240, frames=240),
    "variable": Recipe(rate=30, filters=VARIABLE, options=PASSTHROUGH),
}
MOMENTS = {
    "30": (100_000, 900_000, 1_200_000, 1_500_000),
    "240": (50_000, 500_000, 700_000, 950_000),
    "variable": (100_000, 700_000, 1_000_000, 1_400_000),
}


@pytest.fixture
def mixed(lesson: Lesson, tmp_path: Path, send_in: Callable[..., Clip]) -> Pairing:
    offers = []
    for name, recipe in FILES.items():
        clip = send_in(lesson, make(tmp_path / f"{name}.mp4", recipe).read_bytes())
        tasks.prepare(clip.pk)
        tasks.cut(clip.cuts.get().pk)
        clip.refresh_from_db()
        clip.swings.all().delete()
        begin, top, strike, finish = MOMENTS[name]
        swing = swing_of(clip, begin_us=begin, top_us=top, strike_us=strike, finish_us=finish)
        offers.append(Offer(clip, swing))
    return begin_pairing(lesson, offers)


@pytest.fixture
def page(
    browser: Browser, live_server: LiveServer, as_coach: Client, mixed: Pairing
) -> Iterator[Page]:
    with browser.new_context(viewport={"width": 1440, "height": 900}) as context:
        sign_in(context, live_server.url, as_coach)
        page = context.new_page()
        page.goto(live_server.url + reverse("pairings:pairing", args=[mixed.pk]))
        page.wait_for_selector("swings-beside[data-ready]")
        yield page
        page.goto("about:blank")  # with nothing more on its way


def on_screen(page: Page) -> list[int]:
    shots = [cell.screenshot() for cell in page.locator("[data-side]").all()]
    return [read_number(Image.open(io.BytesIO(shot))) for shot in shots]


def by_the_tables(pairing: Pairing, clock: int) -> list[int]:
    """What the same moment shows by the server's computation."""
    pairing.refresh_from_db()
    sides = sides_of(pairing)
    found = zip(sides, recipe_of(pairing, sides).warps, strict=True)
    return [times.shown_at(times.read(side.clip), warp.clip_us(clock)) for side, warp in found]


def clock_of(page: Page) -> int:
    return int(page.locator("[data-track] input").input_value())


@pytest.mark.parametrize("by_position", [False, True])
def test_each_shows_its_own_frame_of_every_moment(page: Page, mixed: Pairing, by_position: bool):
    if by_position:
        page.get_by_role("button", name="By position").click()
        wait_until(lambda: Pairing.objects.get().by_position, "it is kept")

    def right() -> bool:
        return on_screen(page) == by_the_tables(mixed, clock_of(page))

    def all_right(what: str) -> None:
        wait_until(right, f"{what}: {on_screen(page)}, {by_the_tables(mixed, clock_of(page))}")

    all_right("lined up")
    page.locator("swings-beside").focus()
    seen = set()
    for count in range(10):  # a step is a frame of the one that has the most
        before = on_screen(page)[0]  # the one at 240: its swing begins first
        page.keyboard.press(".")
        all_right(f"step {count}")
        assert on_screen(page)[0] == before + 1
        seen.add(tuple(on_screen(page)))
    assert len(seen) == 10
    chance = random.Random(f"moments {by_position}")
    begin, end = page.evaluate(
        "(({begin, end}) => [begin, end])(document.querySelector('swings-beside'))"
    )
    for _ in range(6):
        clock = chance.randint(round(begin), round(end))
        page.evaluate("(us) => document.querySelector('swings-beside').goTo(us)", clock)
        all_right(f"at {clock}")
