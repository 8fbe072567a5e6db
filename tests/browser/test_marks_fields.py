"""Numbers that a coach types beside a still: one that can't be kept is said, the old one stays."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, expect

from lessons.clips.models import Still
from lessons.marks.models import MarkingError, MarkSet
from lessons.marks.service import save_marks
from tests.browser.test_marks import Desk, big_still, desk_of  # noqa: F401 - fixtures
from tests.marks.conftest import line

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# fixtures come by name
# ruff: noqa: F811

CLUB = line(id="club", kind="ruler", points=[[50, 400], [50, 100]], length_mm=930)


def chosen(desk: Desk, mark: str) -> None:
    desk.page.locator(f'[data-mark="{mark}"]').focus()


def type_over(field: Locator, typed: str) -> None:
    """As a hand does: key by key over what stands there."""
    field.click(click_count=3)
    field.press("Delete")
    for key in typed:
        field.press(key)


@pytest.mark.parametrize("typed", ["99999", "0", "-5", "", "1e9"])
def test_an_absurd_known_length_is_said_and_the_old_one_kept(
    desk_of: Callable[..., Desk], big_still: Still, typed: str
):
    save_marks(big_still, 0, [CLUB])
    desk = desk_of()
    chosen(desk, "club")
    field = desk.page.get_by_label("Known length, cm")
    type_over(field, typed)
    if typed:
        expect(desk.page.locator(".mark-known .mark-wrong")).to_contain_text("1 to 300 cm")
        expect(field).to_have_attribute("aria-invalid", "true")
    expect(desk.page.locator(".mark-measures")).to_contain_text("93 cm, so")
    field.press("Tab")
    expect(field).to_have_value("93")
    expect(desk.page.locator(".mark-known .mark-wrong")).to_have_text(
        "A known length is 1 to 300 cm. 93 cm is kept."
    )
    desk.page.wait_for_timeout(700)
    assert MarkSet.objects.get().marks[0]["length_mm"] == 930


def test_the_sentence_goes_with_a_good_length_and_with_another_mark(
    desk_of: Callable[..., Desk], big_still: Still
):
    save_marks(big_still, 0, [CLUB, line(id="other")])
    desk = desk_of()
    chosen(desk, "club")
    field = desk.page.get_by_label("Known length, cm")
    wrong = desk.page.locator(".mark-known .mark-wrong")
    type_over(field, "99999")
    field.press("Tab")
    expect(wrong).not_to_be_empty()
    type_over(field, "94")
    expect(wrong).to_be_empty()
    field.press("Tab")
    type_over(field, "0")
    chosen(desk, "other")
    chosen(desk, "club")
    expect(wrong).to_be_empty()
    expect(field).to_have_value("94")


def test_a_short_ruler_is_said_to_make_poor_centimetres(
    desk_of: Callable[..., Desk], big_still: Still
):
    save_marks(big_still, 0, [{**CLUB, "points": [[50, 100], [70, 100]]}])
    desk = desk_of()
    chosen(desk, "club")
    expect(desk.page.locator(".mark-measures")).to_contain_text("±21 %")
    expect(desk.page.locator(".mark-measures")).to_contain_text("poor centimetres")


@pytest.mark.parametrize("typed", ["0", "-1", "100", "0.7", ""])
def test_an_absurd_marking_error_is_said_and_the_old_one_kept(
    desk_of: Callable[..., Desk], big_still: Still, typed: str
):
    save_marks(big_still, 0, [line(id="spine", points=[[300, 400], [300, 100]], shows="upright")])
    desk = desk_of()
    field = desk.page.get_by_label("A mark of mine may be off by")
    type_over(field, typed)
    field.press("Enter")
    expect(field).to_have_value("3")
    expect(desk.page.locator(".mark-error .mark-wrong")).to_have_text(
        "It is 0.5 to 50 pixels, by halves. 3 is kept."
    )
    expect(desk.page.locator(".mark-drawing text")).to_have_text("0° ±1°")
    desk.page.wait_for_timeout(500)
    assert not MarkingError.objects.exclude(error_px=3).exists()


def test_one_camera_is_cautioned_about_whenever_a_measure_is_listed(
    desk_of: Callable[..., Desk], big_still: Still
):
    save_marks(big_still, 0, [line(id="spine"), line(id="ring", kind="ellipse")])
    desk = desk_of()
    caution = desk.page.get_by_text("One camera shows no depth")
    expect(caution).to_be_hidden()
    chosen(desk, "spine")
    expect(desk.page.get_by_label("On the picture")).to_have_value("")
    expect(caution).to_be_visible()
    expect(desk.page.get_by_label("A mark of mine may be off by")).to_be_visible()
    chosen(desk, "ring")
    expect(caution).to_be_hidden()
