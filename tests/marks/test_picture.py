"""Marks drawn by Pillow: what needs no browser to be checked."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from lessons.marks import picture
from lessons.marks.drawing import Frame
from lessons.marks.mark import Mark
from lessons.marks.picture import draw_marks, plain_letters

GREY = Image.new("RGB", (400, 300), (128, 128, 128))


def changed(mark: Mark, paper: Image.Image = GREY) -> np.ndarray:
    """Where the picture is no longer grey."""
    drawn = np.asarray(draw_marks(paper, [mark])).astype(int)
    return np.abs(drawn - 128).max(axis=2) > 24


def test_a_level_line_is_as_wide_as_the_measures_say():
    frame = Frame(1600, 1200)
    paper = GREY.resize((1600, 1200))
    mark = Mark("a", "line", ((50, 600), (1500, 600)), "#E69F00")
    column = changed(mark, paper)[:, 800]
    wide = frame.px("stroke") + 2 * frame.px("halo")
    assert column.sum() == pytest.approx(wide, abs=1)
    # Row 599 ends and row 600 begins at y = 600
    assert np.flatnonzero(column).mean() == pytest.approx(599.5, abs=0.5)


def test_the_picture_given_is_left_alone():
    draw_marks(GREY, [Mark("a", "box", ((5, 5), (50, 50)), "#000000")])
    assert GREY.getcolors() == [(400 * 300, (128, 128, 128))]


@pytest.mark.parametrize(
    "points",
    [((-90.0, -90.0), (490.0, 390.0)), ((-90.0, -90.0), (-80.0, -80.0)), ((7.0, 7.0), (7.0, 7.0))],
)
@pytest.mark.parametrize("kind", ["line", "arrow", "box", "ellipse", "freehand"])
def test_marks_across_or_outside_the_edge_do_no_harm(kind: str, points: tuple):
    assert draw_marks(GREY, [Mark("a", kind, points, "#0072B2")]).size == (400, 300)


def test_an_angle_without_arms_does_no_harm():
    assert changed(Mark("a", "angle", ((9, 9), (9, 9), (9, 9)), "#0072B2")).any()


def test_a_label_stays_inside_the_picture():
    edge = changed(Mark("a", "label", ((400, 0),), "#0072B2", "W" * 60))
    rows, columns = np.flatnonzero(edge.any(axis=1)), np.flatnonzero(edge.any(axis=0))
    assert columns[0] > 0
    assert rows[-1] < 60


@pytest.mark.parametrize("text", ["Hüfte über dem Fuß", "左腕", "‰ ⅓ ½", "i"])
def test_any_letters_are_drawn_on_the_plate(text: str):
    assert changed(Mark("a", "label", ((200, 150),), "#F0E442", text)).any()


def test_without_a_system_font_it_still_writes(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(picture, "font_path", lambda: "")
    with_text = draw_marks(GREY, [Mark("a", "label", ((200, 150),), "#F0E442", "Füße")])
    without = draw_marks(GREY, [Mark("a", "label", ((200, 150),), "#F0E442", "    ")])
    assert with_text.tobytes() != without.tobytes()


def test_accents_are_left_out_where_the_font_has_none():
    assert plain_letters("Füße à José") == "Fusse a Jose"
