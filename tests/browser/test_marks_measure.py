"""A coach measures on a still and lays marks over another, with a mouse, a finger and keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from lessons.clips.models import Still
from lessons.marks.models import MarkingError, MarkSet, NamedSet
from lessons.marks.service import save_marks
from tests.browser.test_marks import Desk, big_still, desk, desk_of  # noqa: F401 - fixtures
from tests.marks.conftest import line, make_still

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# fixtures come by name
# ruff: noqa: F811

SPINE = line(id="spine", points=[[300, 400], [300, 100]], text="Spine", shows="upright")


def words(desk: Desk) -> list[str]:
    return desk.page.locator(".mark-measures li").all_inner_texts()


def rings(desk: Desk) -> list[tuple[float, float]]:
    found = desk.page.locator(".mark-handle").all()
    return [(float(r.get_attribute("cx") or 0), float(r.get_attribute("cy") or 0)) for r in found]


def settled(desk: Desk, still: Still) -> list[dict[str, Any]]:
    desk.page.wait_for_timeout(700)
    expect(desk.page.locator(".mark-status")).to_have_text("Saved")
    return MarkSet.objects.get(still=still).marks


def test_a_line_says_what_is_chosen_for_it(desk: Desk, big_still: Still):
    desk.take("line")
    desk.drag((300, 400), (300, 200), (300, 100))
    assert words(desk)[1] == "0° ±1° from the vertical"
    desk.page.get_by_label("On the picture").select_option("upright")
    desk.page.get_by_label("Name", exact=True).fill("Spine")
    expect(desk.page.locator(".mark-drawing text")).to_have_text("0° ±1°")
    (mark,) = settled(desk, big_still)
    assert (mark["shows"], mark["text"]) == ("upright", "Spine")
    desk.page.locator('[data-do="undo"]').click()
    desk.page.locator('[data-do="undo"]').click()
    expect(desk.page.locator(".mark-drawing text")).to_have_count(0)


def test_a_ruler_gives_centimetres(desk: Desk, big_still: Still):
    desk.take("line")
    desk.drag((100, 300), (300, 300), (500, 300))
    desk.take("ruler")
    desk.drag((50, 100), (50, 200), (50, 400))
    expect(desk.page.get_by_label("Known length, cm")).to_have_value("4.267")
    desk.page.get_by_label("Known length, cm").fill("90")
    expect(desk.page.locator(".mark-drawing text")).to_have_text("90 cm")
    desk.drag((300, 300))
    assert words(desk)[2].endswith("cm long")
    assert float(words(desk)[2].split()[0]) == pytest.approx(120, abs=2)


def test_a_point_is_measured_against_the_line_drawn_last(desk: Desk, big_still: Still):
    save_marks(big_still, 0, [line(id="plane", points=[[50, 400], [550, 400]], text="plane")])
    desk.open()
    desk.take("point")
    desk.drag((550, 300))
    assert words(desk) == ["11° ±1° above plane"]
    point = settled(desk, big_still)[1]
    assert (point["against"], point["shows"]) == ("plane", "off")
    desk.drag((550, 300), (550, 420), (550, 480))
    assert words(desk) == ["9° ±1° below plane"]


def test_a_less_exact_hand_widens_every_error(desk: Desk, big_still: Still):
    save_marks(big_still, 0, [SPINE])
    desk.open()
    desk.page.get_by_label("A mark of mine may be off by").fill("12")
    expect(desk.page.locator(".mark-drawing text")).to_have_text("0° ±3°")
    desk.page.keyboard.press("Tab")
    desk.page.wait_for_timeout(600)
    assert MarkingError.objects.get().error_px == 12


def test_marks_are_laid_over_and_brought_to_size(desk: Desk, big_still: Still, lesson: Any):
    source = make_still(lesson)
    save_marks(source, 0, [SPINE])
    desk.page.locator('[data-do="lay"]').click()
    address = reverse("marks:marks", args=[source.pk])
    desk.page.locator(f'[data-lay="{address}"]').click()
    expect(desk.page.get_by_text("Drag the two rings")).to_be_visible()
    assert rings(desk) == [(300, 400), (300, 100)]
    desk.drag((300, 100), (350, 150), (400, 200))
    assert rings(desk)[1] == pytest.approx((400, 200), abs=2)
    desk.page.get_by_role("button", name="Keep", exact=True).click()
    (mark,) = settled(desk, big_still)
    assert [n for point in mark["points"] for n in point] == pytest.approx(
        [300, 400, 400, 200], abs=2
    )
    assert (mark["text"], mark["shows"], mark["id"] == "spine") == ("Spine", "upright", False)
    desk.page.locator('[data-do="undo"]').click()
    assert desk.drawn() == []


def test_what_is_laid_over_can_be_left(desk: Desk, lesson: Any):
    source = make_still(lesson)
    save_marks(source, 0, [SPINE])
    desk.page.locator('[data-do="lay"]').click()
    desk.page.locator(f'[data-lay="{reverse("marks:marks", args=[source.pk])}"]').click()
    desk.page.get_by_role("button", name="Leave it").click()
    expect(desk.page.get_by_text("Drag the two rings")).to_be_hidden()
    assert desk.drawn() == []


def test_keys_bring_it_to_its_place(desk_of: Callable[..., Desk], big_still: Still, lesson: Any):
    source = make_still(lesson)
    save_marks(source, 0, [SPINE])
    desk = desk_of()
    desk.page.locator('[data-do="lay"]').click()
    desk.page.locator(f'[data-lay="{reverse("marks:marks", args=[source.pk])}"]').press("Enter")
    expect(desk.page.locator(".mark-drawing")).to_be_focused()
    for key in ("Enter", "Shift+ArrowRight", "Shift+ArrowRight"):
        desk.page.keyboard.press(key)
    first, second = rings(desk)
    assert (first, second[0] > 300, second[1]) == ((300, 400), True, 100)
    desk.page.keyboard.press("Escape")
    assert desk.drawn() == []


def test_a_set_is_kept_and_laid_over(desk: Desk, big_still: Still):
    save_marks(big_still, 0, [SPINE])
    desk.open()
    desk.page.locator('[data-do="lay"]').click()
    desk.page.get_by_label("Keep these marks as a set").fill("My lines")
    desk.page.get_by_role("button", name="Keep the set").click()
    expect(desk.page.get_by_text("Kept as My lines.")).to_be_visible()
    desk.page.locator(
        f'[data-lay="{reverse("marks:named_set", args=[NamedSet.objects.get().pk])}"]'
    ).click()
    desk.page.get_by_role("button", name="Keep", exact=True).click()
    assert desk.drawn() == ["Line 1: Spine, orange", "Line 2: Spine, orange"]
