"""What the site refuses to keep, and what it says then."""

from __future__ import annotations

from typing import Any

import pytest

from lessons.marks.checking import MarksRefused, check_marks
from lessons.marks.drawing import COLOURS, Frame
from tests.marks.conftest import line

FRAME = Frame(640, 480)


def kept(*rows: Any) -> list[dict[str, Any]]:
    return [mark.as_json() for mark in check_marks(list(rows), FRAME)]


@pytest.mark.parametrize(
    ("kind", "points", "text"),
    [
        ("line", [[0, 0], [640, 480]], ""),
        ("arrow", [[1.5, 2.5], [3, 4]], ""),
        ("angle", [[1, 1], [2, 2], [3, 1]], ""),
        ("box", [[5, 5], [1, 1]], ""),
        ("ellipse", [[5, 5], [90, 70]], ""),
        ("freehand", [[n, n] for n in range(200)], ""),
        ("label", [[5, 5]], "Füße still"),
    ],
)
def test_it_keeps_every_kind(kind: str, points: list[Any], text: str):
    row = line(kind=kind, points=points, text=text)
    assert kept(row) == [row]


def test_it_keeps_what_marks_measure():
    rows = [
        line(id="spine", text="Spine", shows="upright"),
        line(id="plane", shows="lines", against="spine"),
        line(id="hands", kind="point", points=[[5, 5]], shows="off_cm", against="gone"),
        line(id="ball", kind="ruler", length_mm=42.67),
    ]
    assert kept(*rows) == rows


def test_it_keeps_every_colour_of_the_palette():
    rows = [line(id=f"m{n}", colour=colour) for n, colour in enumerate(COLOURS)]
    assert kept(*rows) == rows


def test_it_keeps_points_a_little_outside():
    assert kept(line(points=[[-100, -100], [740, 580]]))


def test_it_rounds_points_to_a_hundredth():
    assert kept(line(points=[[1.23456, 2], [3, 4]]))[0]["points"][0] == [1.23, 2.0]


def test_it_tidies_white_space_in_a_label():
    assert kept(line(kind="label", points=[[1, 1]], text="  hips \n back "))[0]["text"] == (
        "hips back"
    )


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        ({"a": 1}, "as a list"),
        ([line()] * 101, "at most 100 marks"),
        ([line(), line()], "same name"),
        (["line"], "not written as a mark"),
        ([line(onclick="x")], "not written as a mark"),
        ([line(id="")], "no proper name"),
        ([line(id='"><b>')], "no proper name"),
        ([line(id=7)], "no proper name"),
        ([line(kind="spiral")], "no known kind"),
        ([line(kind=["line"])], "no known kind"),
        ([line(colour="#123456")], "palette"),
        ([line(colour="red")], "palette"),
        ([line(colour={})], "palette"),
        ([line(points=[[1, 2]])], "needs 2 points"),
        ([line(points="1,2")], "needs 2 points"),
        ([line(kind="angle", points=[[1, 2], [3, 4]])], "needs 3 points"),
        ([line(kind="label", points=[], text="x")], "needs 1 points"),
        ([line(kind="freehand", points=[[1, 1]])], "2 to 2000 points"),
        ([line(kind="freehand", points=[[1, 1]] * 2001)], "2 to 2000 points"),
        ([line(points=[[1, 2], [3]])], "no pair of numbers"),
        ([line(points=[[1, 2], [3, "4"]])], "no pair of numbers"),
        ([line(points=[[1, 2], [3, None]])], "no pair of numbers"),
        ([line(points=[[1, 2], [3, True]])], "no pair of numbers"),
        ([line(points=[[1, 2], [3, float("nan")]])], "no pair of numbers"),
        ([line(points=[[1, 2], [3, float("inf")]])], "no pair of numbers"),
        ([line(points=[[1, 2], [3, 10**400]])], "too far outside"),
        ([line(points=[[1, 2], [3, 900]])], "too far outside"),
        ([line(points=[[1, 2], [-161, 3]])], "too far outside"),
        ([line(shows="off")], "can't show that measure"),
        ([line(shows=["level"])], "can't show that measure"),
        ([line(kind="box", shows="level")], "can't show that measure"),
        ([line(kind="box", against="a2")], "can't be measured against"),
        ([line(against='"><b>')], "can't be measured against"),
        ([line(against=3)], "can't be measured against"),
        ([line(length_mm=42.67)], "can't have a known length"),
        ([line(kind="ruler")], "needs a known length"),
        ([line(kind="ruler", length_mm=0.5)], "needs a known length"),
        ([line(kind="ruler", length_mm=3001)], "needs a known length"),
        ([line(kind="ruler", length_mm="42")], "needs a known length"),
        ([line(kind="ruler", length_mm=float("nan"))], "needs a known length"),
        ([line(text="a" * 61)], "longer than 60"),
        ([line(text=3)], "no text"),
        ([line(kind="label", points=[[1, 1]], text="  ")], "needs a text"),
        ([line(kind="label", points=[[1, 1]], text="a\x00b")], "needs a text"),
        ([line(kind="label", points=[[1, 1]], text="a\u202eb")], "needs a text"),
        ([line(kind="label", points=[[1, 1]], text="a" * 61)], "longer than 60"),
    ],
)
def test_it_refuses_with_a_sentence(rows: Any, sentence: str):
    with pytest.raises(MarksRefused, match=sentence):
        check_marks(rows, FRAME)


def test_it_refuses_too_much_freehand():
    rows = [line(id=f"m{n}", kind="freehand", points=[[1, 1]] * 2000) for n in range(11)]
    with pytest.raises(MarksRefused, match="too much freehand"):
        check_marks(rows, FRAME)
