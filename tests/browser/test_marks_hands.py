"""Where keys and words go on a still's page: to the drawing, and beside the pressed button."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Locator, expect

from lessons.clips.models import Still
from lessons.marks.models import MarkSet
from lessons.marks.service import save_marks
from tests.browser.test_marks import PHONE, Desk, big_still, desk_of  # noqa: F401 - fixtures
from tests.marks.conftest import line, make_still

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# fixtures come by name
# ruff: noqa: F811

SPINE = line(id="spine", points=[[300, 400], [300, 100]], text="Spine", shows="upright")


def lay(desk: Desk, source: Still) -> None:
    desk.page.locator('[data-do="lay"]').click()
    desk.page.locator(f'[data-lay="{reverse("marks:marks", args=[source.pk])}"]').click()
    expect(desk.page.get_by_text("Drag the two rings")).to_be_visible()


def is_in_sight(words: Locator) -> bool:
    """Whether it lies on the screen, and nothing scrolled it out of its dialog."""
    return words.evaluate(
        """(element) => {
          const box = element.getBoundingClientRect();
          const frame = element.closest("dialog").getBoundingClientRect();
          const least = Math.max(0, frame.top), most = Math.min(innerHeight, frame.bottom);
          return box.height > 0 && box.top >= least && box.bottom <= most;
        }"""
    )


@pytest.fixture
def many(big_still: Still) -> list[Still]:
    """Enough marked stills of the clip to make the list longer than any screen."""
    save_marks(big_still, 0, [SPINE])
    stills = [
        make_still(big_still.clip.lesson, clip=big_still.clip, time_us=n * 100_000, caption=f"{n}")
        for n in range(1, 16)
    ]
    for still in stills[2:]:
        save_marks(still, 0, [SPINE])
    return stills


def test_what_was_copied_is_said_in_sight_and_undone_there(
    desk_of: Callable[..., Desk], many: list[Still]
):
    desk = desk_of(PHONE, touch=True)
    desk.page.locator('[data-do="lay"]').tap()
    desk.page.get_by_role("button", name="Copy the marks").tap()
    said = desk.page.get_by_text("The marks are on 2 more stills.")
    expect(said).to_be_visible()
    assert is_in_sight(said)
    undo = desk.page.locator(".mark-copied").get_by_role("button", name="Undo")
    expect(undo).to_be_focused()
    undo.tap()
    said = desk.page.get_by_text("The copied marks are off 2 stills again.")
    expect(said).to_be_focused()
    assert is_in_sight(said)


def test_what_was_kept_is_said_in_sight(desk_of: Callable[..., Desk], many: list[Still]):
    desk = desk_of(PHONE, touch=True)
    desk.page.locator('[data-do="lay"]').tap()
    desk.page.get_by_label("Keep these marks as a set").fill("Shaft plane")
    keep = desk.page.get_by_role("button", name="Keep the set")
    keep.tap()
    said = desk.page.get_by_text("Kept as Shaft plane.")
    expect(said).to_be_visible()
    expect(keep).to_be_focused()
    assert is_in_sight(said)


@pytest.mark.parametrize("button", ["Keep", "Leave it"])
def test_undo_by_key_follows_the_laying(
    desk_of: Callable[..., Desk], big_still: Still, lesson: Any, button: str
):
    save_marks(big_still, 0, [line(id="mine")])
    source = make_still(lesson)
    save_marks(source, 0, [SPINE])
    desk = desk_of()
    desk.take("box")
    desk.drag((100, 100), (200, 200))
    lay(desk, source)
    desk.page.get_by_role("button", name=button, exact=True).click()
    expect(desk.page.locator(".mark-drawing")).to_be_focused()
    desk.page.keyboard.press("Control+z")
    assert len(desk.drawn()) == (2 if button == "Keep" else 1)


@pytest.mark.parametrize("name", ["undo", "redo", "delete", "whole", "further"])
def test_a_button_that_can_be_pressed_no_more_hands_on_the_keys(
    desk_of: Callable[..., Desk], name: str
):
    desk = desk_of()
    desk.take("box")
    desk.drag((100, 100), (200, 200))
    for first in {"redo": ["undo"], "whole": ["closer"], "further": ["closer"]}.get(name, []):
        desk.page.locator(f'[data-do="{first}"]').click()
    desk.page.locator(f'[data-do="{name}"]').click()
    expect(desk.page.locator(".mark-drawing")).to_be_focused()


def test_keys_reach_the_drawing_of_a_page_just_opened(
    desk_of: Callable[..., Desk], big_still: Still
):
    desk = desk_of()
    assert desk.page.evaluate("document.activeElement === document.body")
    desk.page.keyboard.press("2")
    expect(desk.page.locator('button[data-tool="line"]')).to_have_attribute("aria-pressed", "true")
    desk.drag((100, 100), (300, 300))
    desk.saved()
    desk.page.evaluate("document.activeElement.blur()")
    desk.page.keyboard.press("Control+z")
    assert desk.drawn() == []
    desk.page.locator(".mark-head h2").click()
    desk.page.keyboard.press("Control+Shift+z")
    assert desk.drawn() == ["Line, orange"]


def test_keys_stay_with_who_types(desk_of: Callable[..., Desk], big_still: Still):
    save_marks(big_still, 0, [SPINE])
    desk = desk_of()
    chosen = desk.page.locator('button[data-tool="choose"]')
    desk.page.get_by_label("Caption").fill("")
    desk.page.keyboard.type("2 knees")
    expect(chosen).to_have_attribute("aria-pressed", "true")
    desk.page.locator('[data-mark="spine"]').focus()
    desk.page.get_by_label("On the picture").press("4")
    expect(chosen).to_have_attribute("aria-pressed", "true")
    desk.page.get_by_label("On the picture").select_option("level")
    desk.page.keyboard.press("Control+z")
    expect(desk.page.get_by_label("On the picture")).to_have_value("upright")
    desk.page.locator(".mark-drawing").focus()
    desk.page.keyboard.press("?")
    desk.page.keyboard.press("2")
    expect(chosen).to_have_attribute("aria-pressed", "true")
    assert MarkSet.objects.get().marks[0]["text"] == "Spine"
