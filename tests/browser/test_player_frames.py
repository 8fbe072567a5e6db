"""Each frame that the player says it shows is the one on the screen, at any frame rate.

The files carry each frame's number in the frame (tests/media_tools/clips.py); it is read back from
a picture of the browser's screen, and compared with the time that the source gives that frame.
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
from lessons.visits.models import Lesson
from tests.browser.conftest import sign_in
from tests.media_tools.clips import PASSTHROUGH, Recipe, make, read_number
from tests.media_tools.recipes import VARIABLE
from tests.servers import wait_until

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
FILES = {
    "30": Recipe(rate=30),
    "60": Recipe(rate=60),
    "240": Recipe(rate=240, frames=240),
    "variable": Recipe(rate=30, filters=VARIABLE, options=PASSTHROUGH),
}


@pytest.fixture
def stepping(
    browser: Browser, live_server: LiveServer, as_coach: Client
) -> Iterator[Callable[[Clip], Page]]:
    with browser.new_context(viewport={"width": 1440, "height": 900}) as context:
        sign_in(context, live_server.url, as_coach)

        def open_clip(clip: Clip) -> Page:
            page = context.new_page()
            page.goto(live_server.url + reverse("clips:clip", args=[clip.pk]))
            page.wait_for_selector("clip-player[data-ready]")
            return page

        yield open_clip


def on_screen(page: Page) -> int:
    """The number that the picture in front shows."""
    picture = page.locator("video[data-front]").screenshot()
    return read_number(Image.open(io.BytesIO(picture)))


def said(page: Page) -> int:
    """The frame that the player says it shows: 'frame 8 of 48' is index 7."""
    words = page.locator("[data-film]").get_attribute("aria-valuetext") or ""
    return int(words.split("frame ")[1].split()[0]) - 1


def settled(page: Page, index: int) -> None:
    """The player says it shows a frame, in the rendition that has them all."""
    wait_until(
        lambda: said(page) == index and page.locator("[data-video=study][data-front]").count(),
        f"frame {index} is shown",
    )


@pytest.mark.parametrize("rate", FILES)
def test_the_frame_on_the_screen_is_the_frame_it_says(
    rate: str,
    stepping: Callable[[Clip], Page],
    lesson: Lesson,
    tmp_path: Path,
    send_in: Callable[..., Clip],
):
    path = make(tmp_path / "numbered.mp4", FILES[rate])
    clip = send_in(lesson, path.read_bytes())
    tasks.prepare(clip.pk)
    tasks.cut(clip.cuts.get().pk)
    clip.refresh_from_db()
    table = times.read(clip)
    assert len(table) == FILES[rate].frames
    page = stepping(clip)

    page.click("[data-do=forth]")
    settled(page, 1)
    for index in range(2, 12):  # one after the other
        page.click("[data-do=forth]")
        settled(page, index)
        assert on_screen(page) == index
        assert page.inner_text("[data-shown]") == f"{(table[index] + 500) // 1000 / 1000:.3f} s"
    chance = random.Random(f"seeks at {rate}")
    for _ in range(8):  # and anywhere
        index = chance.randrange(len(table))
        page.evaluate("(us) => document.querySelector('clip-player').goToTime(us)", table[index])
        settled(page, index)
        assert on_screen(page) == index
