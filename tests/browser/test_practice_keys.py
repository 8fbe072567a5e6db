"""A drill from its first repetition to its log with the keyboard alone, and axe on each screen."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.every_page import NARROW, PHONE, axe_troubles, wide_troubles
from tests.browser.test_practice_run import (  # noqa: F401 - fixtures
    drills,
    kept_logs,
    phone,
    target,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def look(page: Page, screen: str) -> None:
    """The rules, and nothing that runs over the side, also at 200 % zoom."""
    troubles = axe_troubles(page)
    for size in (NARROW, PHONE):
        page.set_viewport_size(size)
        troubles += wide_troubles(page)
    assert not troubles, (screen, troubles)


def tab_to(page: Page, selector: str) -> None:
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("(wanted) => document.activeElement.matches(wanted)", selector):
            return
    pytest.fail(f"Tab does not reach {selector}")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_drill_is_done_with_the_keyboard_alone(phone: Page, scheme: str):  # noqa: F811
    phone.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    phone.get_by_role("button", name="Start sway gate").press("Enter")
    expect(target(phone)).to_be_focused()
    look(phone, "counter")
    tab_to(phone, "dialog[open] [data-tempo]")
    phone.keyboard.press("Enter")
    look(phone, "tempo")
    phone.keyboard.press("Enter")
    tab_to(phone, "dialog[open] [data-count]")
    for _ in range(6):
        phone.keyboard.press("Space")
    said = phone.locator("dialog[open] [data-said]")
    expect(said).to_be_visible()
    look(phone, "how it felt")
    tab_to(phone, "dialog[open] [name=felt]")
    for _ in range(3):
        phone.keyboard.press("ArrowRight")
    tab_to(phone, "dialog[open] textarea")
    phone.keyboard.type("Slowly.")
    tab_to(phone, "dialog[open] [name=hurt]")
    tab_to(phone, "dialog[open] [data-said] button[type=submit]")
    phone.keyboard.press("Enter")
    log = kept_logs(1)[0]
    assert (log.assignment.name, log.percent, log.note) == ("sway gate", 100, "Slowly.")
    assert log.felt is not None


def test_escape_leaves_a_drill_and_the_focus_goes_back(phone: Page):  # noqa: F811
    start = phone.get_by_role("button", name="Start sway gate")
    start.press("Enter")
    expect(target(phone)).to_be_focused()
    phone.keyboard.press("Escape")
    expect(phone.locator("dialog[open]")).to_have_count(0)
    expect(start).to_be_focused()
