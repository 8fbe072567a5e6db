"""One pairing in two windows, in Chromium: neither overwrites the other, and nothing is lost."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, Route, expect

from lessons.pairings.models import Pairing, SavedPairing
from tests.browser.test_pairings import Open, saved, stage  # noqa: F401 - fixtures
from tests.pairings.conftest import (  # noqa: F401 - fixtures
    earlier_lesson,
    filmed,
    late_clip,
    saved_sent,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# fixtures come by name
# ruff: noqa: F811

KEEP = "**/pairings/*/keep/"


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def asked(page: Page) -> Locator:
    return page.get_by_role("alert").filter(has_text="in another window or on another device")


def overtake(first: Page, second: Page) -> None:
    """The first window lays them over one another; the second one wants them by position."""
    press(first, "Overlay")
    saved(first)
    press(second, "By position")
    expect(asked(second)).to_be_visible()
    assert (Pairing.objects.get().over, Pairing.objects.get().by_position) == (True, False)


def is_pressed(page: Page, name: str, wanted: bool) -> None:
    button = page.get_by_role("button", name=name, exact=True)
    expect(button).to_have_attribute("aria-pressed", str(wanted).lower())


def test_mine_is_kept(stage: Open, filmed: Pairing):
    first, second = stage(), stage(touch=True)
    overtake(first, second)
    press(second, "Match size")  # goes on meanwhile
    press(second, "Keep mine")
    expect(asked(second)).to_be_hidden()
    saved(second)
    kept = Pairing.objects.get()
    assert (kept.over, kept.by_position, kept.version) == (False, True, 2)
    assert filmed.sides.exclude(points=None).count() == 2


def test_theirs_is_taken_and_undo_brings_mine_back(stage: Open, filmed: Pairing):
    first, second = stage(), stage()
    overtake(first, second)
    press(second, "Take theirs")
    expect(asked(second)).to_be_hidden()
    is_pressed(second, "Overlay", True)
    is_pressed(second, "By position", False)
    press(second, "Undo")
    is_pressed(second, "By position", True)
    saved(second)
    kept = Pairing.objects.get()
    assert (kept.over, kept.by_position) == (False, True)


def test_one_window_saves_one_after_the_other(stage: Open, filmed: Pairing):
    page = stage()
    for name in ("Overlay", "By position", "Overlay"):
        press(page, name)
        saved(page)
    kept = Pairing.objects.get()
    assert (kept.over, kept.by_position, kept.version) == (False, True, 3)


def test_a_lost_answer_is_no_other_window(stage: Open, filmed: Pairing):
    page = stage()

    def lose(route: Route) -> None:
        route.fetch()  # it is kept
        route.abort()

    page.route(KEEP, lose, times=1)
    press(page, "Overlay")
    expect(page.get_by_text("Not saved yet: no connection")).to_be_visible()
    saved(page)
    expect(asked(page)).to_be_hidden()
    assert Pairing.objects.get().version == 1


def test_what_was_left_unsaved_comes_back(stage: Open, filmed: Pairing):
    page = stage()
    # Also what is sent while the page is left: no route is asked about that
    page.evaluate("() => { window.fetch = () => Promise.reject(new TypeError('no line')) }")
    press(page, "Overlay")
    expect(page.get_by_text("Not saved yet: no connection")).to_be_visible()
    page.goto("about:blank")
    assert not Pairing.objects.get().over
    page.go_back()
    page.wait_for_selector("swings-beside[data-ready]")
    is_pressed(page, "Overlay", True)
    saved(page)
    assert Pairing.objects.get().over


def test_what_was_left_unsaved_asks_where_another_was_faster(stage: Open, filmed: Pairing):
    page, other = stage(), stage()
    page.route(KEEP, lambda route: route.abort())
    press(page, "Overlay")
    expect(page.get_by_text("Not saved yet: no connection")).to_be_visible()
    press(other, "By position")
    saved(other)
    page.reload()
    page.wait_for_selector("swings-beside[data-ready]")
    expect(asked(page)).to_be_visible()
    is_pressed(page, "Overlay", True)
    press(page, "Take theirs")
    is_pressed(page, "Overlay", False)
    is_pressed(page, "By position", True)


def test_no_picture_is_saved_of_what_the_window_does_not_show(stage: Open, filmed: Pairing):
    first, second = stage(), stage()
    press(first, "Overlay")
    saved(first)
    press(second, "Save this moment")
    expect(asked(second)).to_contain_text("nothing was saved")
    press(first, "Save this moment")
    expect(first.get_by_text("The picture is being made")).to_be_visible()
    assert SavedPairing.objects.get().recipe["over"]


def test_the_signed_out_are_told_and_lose_nothing(stage: Open, filmed: Pairing):
    page = stage()
    kept = page.context.cookies()
    page.context.clear_cookies(name="carryover_session")
    press(page, "Overlay")
    expect(page.get_by_text("You are signed out")).to_be_visible()
    page.context.add_cookies(kept)
    page.reload()
    page.wait_for_selector("swings-beside[data-ready]")
    saved(page)
    assert Pairing.objects.get().over
