"""Marks that are alike are told apart, and of two rulers one is said to count."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from lessons.clips.models import Still
from lessons.marks.models import MarkSet
from lessons.marks.service import save_marks
from tests.browser.test_marks import Desk, big_still, desk_of  # noqa: F401 - fixtures
from tests.marks.conftest import line, make_still

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# fixtures come by name
# ruff: noqa: F811

LOW = line(id="low", points=[[50, 400], [550, 400]])
HIGH = line(id="high", points=[[50, 100], [550, 100]])
SHAFT = line(id="shaft", points=[[100, 450], [500, 450]], shows="length", text="Shaft")
CLUB = line(id="club", kind="ruler", points=[[50, 300], [250, 300]], length_mm=930)
PLAYER = line(id="player", kind="ruler", points=[[600, 470], [600, 20]], length_mm=1800)


def words(desk: Desk) -> str:
    return " | ".join(desk.page.locator(".mark-measures li").all_inner_texts())


def test_a_point_says_which_of_two_lines_and_shows_it(
    desk_of: Callable[..., Desk], big_still: Still
):
    point = line(id="hands", kind="point", points=[[500, 300]], against="high", shows="off")
    save_marks(big_still, 0, [LOW, HIGH, point])
    desk = desk_of()
    desk.page.locator('[data-mark="hands"]').focus()
    against = desk.page.get_by_label("Measured against")
    assert against.locator("option").all_inner_texts() == [
        "No line",
        "Line 1, orange",
        "Line 2, orange",
    ]
    assert words(desk).endswith("below line 2")
    shown = desk.page.locator(".mark-against-line")
    assert "100" in (shown.get_attribute("d") or "")
    against.select_option("low")
    assert words(desk).endswith("above line 1")
    assert "400" in (shown.get_attribute("d") or "")
    desk.page.get_by_text("3 marks").click()
    rows = desk.page.locator(".mark-list li").all_inner_texts()
    assert [row.strip() for row in rows] == ["Line 1", "Line 2", "Point"]
    assert desk.drawn()[:2] == ["Line 1, orange", "Line 2, orange"]
    desk.page.locator('[data-mark="low"]').focus()
    expect(shown).to_have_count(0)


def test_a_second_ruler_says_which_one_counts_and_the_coach_chooses(
    desk_of: Callable[..., Desk], big_still: Still
):
    save_marks(big_still, 0, [SHAFT, CLUB, PLAYER])
    desk = desk_of()
    desk.page.locator('[data-mark="shaft"]').focus()
    assert "160 ±2 cm long, by ruler 2, 180 cm" in words(desk)
    desk.page.locator('[data-mark="player"]').focus()
    assert words(desk).endswith("Of the 2 rulers on this still this one is in use, as the longest.")
    desk.page.locator('[data-mark="club"]').focus()
    assert "centimetres on this still are by ruler 2, 180 cm" in words(desk)
    choose = desk.page.get_by_role("button", name="Measure by this ruler")
    choose.click()
    expect(choose).to_be_hidden()
    expect(desk.page.locator(".mark-drawing")).to_be_focused()
    assert words(desk).endswith("in use, as you chose.")
    texts = desk.page.locator(".mark-drawing text").all_text_contents()
    assert texts == ["186 ±4 cm", "93 cm", "180 cm, unused"]
    desk.page.wait_for_timeout(700)
    expect(desk.page.locator(".mark-status")).to_have_text("Saved")
    assert [mark.get("shows") for mark in MarkSet.objects.get().marks] == ["length", "scale", None]
    desk.page.keyboard.press("Control+z")
    assert desk.page.locator(".mark-drawing text").first.text_content() == "160 ±2 cm"


def test_laying_a_ruler_over_changes_no_number(
    desk_of: Callable[..., Desk], big_still: Still, lesson: Any
):
    save_marks(big_still, 0, [SHAFT, CLUB])
    source = make_still(lesson)
    save_marks(source, 0, [PLAYER])
    desk = desk_of()
    before = desk.page.locator(".mark-drawing text").first.text_content()
    for _ in range(2):
        desk.page.locator('[data-do="lay"]').click()
        desk.page.locator(f'[data-lay="{reverse("marks:marks", args=[source.pk])}"]').click()
        expect(desk.page.get_by_text("This still's own ruler goes on counting.")).to_be_visible()
        desk.page.get_by_role("button", name="Keep", exact=True).click()
    texts = desk.page.locator(".mark-drawing text").all_text_contents()
    assert texts == [before, "93 cm", "180 cm, unused", "180 cm, unused"]
