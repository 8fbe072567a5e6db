"""Keys of the player on arrival and after a press, in Chromium: nothing has to be clicked first."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from lessons.clips import times
from lessons.clips.models import Swing
from tests.browser.test_positions import desk, frame_of, handle_of, swing  # noqa: F401 - fixtures
from tests.browser.test_swings import shown

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# fixtures come by name
# ruff: noqa: F811


def focused(page: Page) -> str:
    return page.evaluate("document.activeElement.id || document.activeElement.localName")


def test_one_key_a_position_works_on_arrival(desk: Page, swing: Swing):
    assert focused(desk) == "body"
    desk.keyboard.press("Shift+5")
    shown(desk, frame_of(swing, "P5"))
    desk.keyboard.press(".")
    table = times.read(swing.clip)
    wanted = table[table.index(frame_of(swing, "P5")) + 1]
    shown(desk, wanted)
    desk.keyboard.press("5")
    expect(handle_of(desk, "P5")).to_have_attribute("data-state", "placed")
    assert swing.placed.get().time_us == wanted


def test_keys_go_on_after_a_press_of_a_button(desk: Page, swing: Swing):
    desk.keyboard.press("Shift+5")
    shown(desk, frame_of(swing, "P5"))
    button = desk.locator(f"#place-{swing.pk}-P5")
    button.click()
    expect(handle_of(desk, "P5")).to_have_attribute("data-state", "placed")
    expect(button).to_be_focused()
    desk.keyboard.press("u")
    expect(handle_of(desk, "P5")).to_have_attribute("data-state", "guess")
    desk.keyboard.press("Shift+2")
    shown(desk, frame_of(swing, "P2"))
    desk.keyboard.press("2")
    expect(handle_of(desk, "P2")).to_have_attribute("data-state", "placed")


def test_the_focus_stays_in_the_player_when_the_pressed_button_goes(desk: Page, swing: Swing):
    desk.keyboard.press("Shift+2")
    shown(desk, frame_of(swing, "P2"))
    desk.keyboard.press("2")
    expect(handle_of(desk, "P2")).to_have_attribute("data-state", "placed")
    desk.click("[data-press=undo]")
    expect(desk.locator("[data-press=undo]")).to_have_count(0)
    expect(desk.locator("clip-player")).to_be_focused()


def test_where_somebody_types_or_reads_a_dialog_keys_mean_nothing(desk: Page, swing: Swing):
    desk.locator(".take-caption [name=caption]").fill("")
    desk.keyboard.type("25u")
    assert desk.locator(".take-caption [name=caption]").input_value() == "25u"
    desk.evaluate(
        """() => {
             document.activeElement.blur();
             const dialog = document.createElement("dialog");
             document.body.append(dialog);
             dialog.show();
             document.activeElement.blur();
           }"""
    )
    desk.keyboard.press("5")
    desk.evaluate("document.querySelector('dialog[open]').remove()")
    desk.keyboard.press("Shift+2")
    shown(desk, frame_of(swing, "P2"))
    assert not swing.placed.exists()
