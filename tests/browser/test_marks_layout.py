"""What belongs to a mark and the picture it is on are in sight together, and numbers don't hide."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from lessons.clips.models import Still
from lessons.marks.service import save_marks
from tests.browser.test_marks import PHONE, Desk, big_still, desk_of  # noqa: F401 - fixtures
from tests.marks.conftest import line, make_still

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# fixtures come by name
# ruff: noqa: F811

PLANE = line(id="plane", points=[[50, 400], [350, 400]], text="Plane")
SPINE = line(id="spine", points=[[300, 400], [300, 100]], shows="upright")


def open_upright(desk: Desk, lesson: Any, marks: list[dict[str, Any]]) -> None:
    """A still as a phone films it, 9:16."""
    still = make_still(lesson, width_px=405, height_px=720)
    save_marks(still, 0, marks)
    here = reverse("marks:still", args=[still.pk])
    desk.address = desk.address.split("/stills/")[0] + here
    desk.open()


def in_sight(desk: Desk, selector: str) -> float:
    """How much of it is on the screen, 0 to 1, clipped by what scrolls round it."""
    return desk.page.locator(selector).first.evaluate(
        """(element) => new Promise((resolve) => {
          new IntersectionObserver(([seen]) => resolve(seen.intersectionRatio)).observe(element);
        })"""
    )


def test_on_a_laptop_an_upright_picture_and_its_fields_are_seen_at_once(
    desk_of: Callable[..., Desk], lesson: Any
):
    desk = desk_of()
    open_upright(desk, lesson, [PLANE, SPINE])
    desk.page.locator('[data-mark="spine"]').focus()
    for selector in (".mark-drawing", ".mark-words", ".mark-shows", ".mark-against"):
        assert in_sight(desk, selector) > 0.95, selector


@pytest.mark.parametrize("is_upright", [True, False])
def test_on_a_phone_the_picture_stays_while_its_list_is_chosen_from(
    desk_of: Callable[..., Desk], big_still: Still, lesson: Any, is_upright: bool
):
    marks = [line(id=f"m{n}", points=[[50, 40 * n], [300, 40 * n]]) for n in range(1, 9)]
    desk = desk_of(PHONE, touch=True)
    if is_upright:
        open_upright(desk, lesson, marks)
    else:
        save_marks(big_still, 0, marks)
        desk.open()
    desk.page.get_by_text("8 marks").tap()
    desk.page.get_by_role("button", name="Line 8, orange").tap()
    assert in_sight(desk, ".mark-drawing") > 0.95
    assert in_sight(desk, '.mark-list [data-id="m8"]') > 0.95


def test_tab_leaves_nothing_under_the_picture(desk_of: Callable[..., Desk], lesson: Any):
    desk = desk_of(PHONE, touch=True)
    open_upright(desk, lesson, [SPINE])
    desk.page.get_by_label("Caption").focus()
    for _ in range(12):
        desk.page.keyboard.press("Shift+Tab")
        hidden = desk.page.evaluate(
            """() => {
              const focused = document.activeElement, box = focused.getBoundingClientRect();
              const top = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
              return focused.closest(".mark-below, .mark-tools") && top?.closest(".mark-stage")
                ? focused.outerHTML : null;
            }"""
        )
        assert hidden is None


def test_numbers_and_labels_do_not_cover_one_another(
    desk_of: Callable[..., Desk], big_still: Still
):
    angle = line(id="angle", kind="angle", points=[[200, 400], [300, 250], [200, 100]])
    label = line(id="note", kind="label", points=[[340, 250]], text="Hips back")
    save_marks(big_still, 0, [SPINE, angle, {**SPINE, "id": "again"}, label])
    desk = desk_of()
    boxes = [text.bounding_box() or {} for text in desk.page.locator(".mark-drawing text").all()]
    assert len(boxes) == 4
    for a, b in itertools.combinations(boxes, 2):
        across = a["x"] < b["x"] + b["width"] and b["x"] < a["x"] + a["width"]
        assert not (across and a["y"] < b["y"] + b["height"] and b["y"] < a["y"] + a["height"])


def test_a_point_says_above_or_below_on_the_picture(desk_of: Callable[..., Desk], big_still: Still):
    point = line(id="hands", kind="point", points=[[350, 300]], against="plane", shows="off")
    save_marks(big_still, 0, [PLANE, point])
    desk = desk_of()
    expect(desk.page.locator(".mark-drawing text")).to_have_text("18° ±1° above")


def test_the_rings_of_laying_leave_the_spot_in_sight(
    desk_of: Callable[..., Desk], big_still: Still, lesson: Any
):
    source = make_still(lesson)
    save_marks(source, 0, [SPINE])
    desk = desk_of()
    desk.page.locator('[data-do="lay"]').click()
    desk.page.locator(f'[data-lay="{reverse("marks:marks", args=[source.pk])}"]').click()
    expect(desk.page.locator(".mark-handles .mark-cross")).to_have_count(2)
    rings = desk.page.locator(".mark-aim")
    fills = [ring.evaluate("(ring) => getComputedStyle(ring).fill") for ring in rings.all()]
    assert fills == ["rgba(0, 0, 0, 0)"] * 2
