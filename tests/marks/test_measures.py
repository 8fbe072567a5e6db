"""Measures in the trade's words, for either hand and each camera place."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lessons.marks.mark import Mark
from lessons.marks.measures import keep_scale, measures_of, said
from lessons.marks.sight import Sight


def mark(kind: str, *points: tuple[float, float], **more: object) -> Mark:
    return Mark(more.pop("id", "m"), kind, points, "#E69F00", **more)  # type: ignore[arg-type]


def sentences(measured: Mark, *others: Mark, sight: Sight | None = None) -> list[str]:
    found = measures_of(measured, [measured, *others], sight or Sight("face-on", "right"))
    return [measure.sentence for measure in found]


# Its top leans right: 100 over 1000 up, 5.7 degrees
LEANING = mark("line", (500, 1200), (600, 200), text="Spine", id="spine")


@pytest.mark.parametrize(
    ("view", "handed", "way"),
    [
        # A face-on camera sees the target of a right-handed player on its right
        ("face-on", "right", "leaning toward the target"),
        ("face-on", "left", "leaning away from the target"),
        # From behind, a right-handed player's ball is on the right
        ("down-the-line", "right", "leaning toward the ball"),
        ("down-the-line", "left", "leaning away from the ball"),
        ("other", "right", "leaning to the right"),
        ("other", "left", "leaning to the right"),
    ],
)
def test_the_way_follows_the_camera_and_the_hand(view: str, handed: str, way: str):
    """Geometry of where the camera stands; the words are common practice, no source."""
    said_of = sentences(LEANING, sight=Sight(view, handed))
    assert said_of[1] == f"6° ±1° from the vertical, {way}"


def test_it_does_not_matter_which_end_was_drawn_first():
    turned = mark("line", *reversed(LEANING.points))
    assert sentences(LEANING) == sentences(turned)


def test_a_level_line_says_no_way():
    assert sentences(mark("line", (0, 500), (1000, 500)))[0] == "0° ±1° to the horizontal"


def test_a_ruler_gives_centimetres():
    """A club of 94 cm over 470 pixels: 2 mm a pixel, so 1,000 pixels are 200 cm.

    Error: 200 * sqrt(2) * 3 * sqrt(1/1000^2 + 1/470^2) = 1.99 cm, by hand.
    """
    club = mark("ruler", (0, 0), (470, 0), id="club", length_mm=940)
    line = mark("line", (0, 500), (1000, 500), shows="length")
    assert sentences(line, club)[2] == "200 ±2 cm long"
    assert said(line, [line, club], Sight()) == "200 ±2 cm"
    assert said(club, [line, club], Sight()) == "94 cm"


CLUB = mark("ruler", (0, 0), (470, 0), id="club", length_mm=940)
BALL = mark("ruler", (0, 0), (20, 0), id="ball", length_mm=42.67)


def test_the_longest_ruler_counts_and_is_named_beside_the_number():
    line = mark("line", (0, 500), (1000, 500))
    assert sentences(line, BALL, CLUB)[2] == "200 ±2 cm long, by ruler 2, 94 cm"
    assert said(BALL, [BALL, CLUB], Sight()) == "4.3 cm, unused"
    assert said(CLUB, [BALL, CLUB], Sight()) == "94 cm"
    assert said(BALL, [BALL], Sight()) == "4.3 cm"


def test_the_ruler_that_the_coach_chose_counts():
    line = mark("line", (0, 500), (1000, 500))
    chosen = replace(BALL, shows="scale", text="Ball")
    assert sentences(line, chosen, CLUB)[2] == "213 ±45 cm long, by Ball, 4.3 cm"
    assert said(CLUB, [chosen, CLUB], Sight()) == "94 cm, unused"


def test_what_is_put_over_a_still_with_a_ruler_changes_none_of_its_numbers():
    line = mark("line", (0, 500), (1000, 500), id="line")
    there = [line, BALL]
    kept, added = keep_scale(there, [replace(CLUB, shows="scale")])
    number = sentences(line, BALL)[2]
    assert sentences(line, *kept[1:], *added)[2] == f"{number}, by ruler 1, 4.3 cm"
    assert keep_scale([line], [CLUB]) == ([line], [CLUB])


def test_a_point_stands_above_or_below_a_plane_line():
    """Over the line by 100 pixels square to it, 1,000 from its lower end: atan(0.1) = 5.7."""
    plane = mark("line", (0, 1000), (1000, 1000), id="plane", text="shaft plane")
    scale = mark("ruler", (0, 0), (500, 0), id="club", length_mm=1000)
    above = mark("point", (1000, 900), against="plane", shows="off")
    assert sentences(above, plane, scale) == [
        "6° ±1° above shaft plane",
        "20.0 ±0.9 cm above shaft plane",
    ]
    assert said(above, [above, plane], Sight()) == "6° ±1° above"
    below = mark("point", (1000, 1100), against="plane")
    assert sentences(below, plane)[0] == "6° ±1° below shaft plane"


@pytest.mark.parametrize(("handed", "way"), [("right", "toward"), ("left", "away from")])
def test_a_point_stands_to_a_side_of_an_upright_line(handed: str, way: str):
    wall = mark("line", (500, 1000), (500, 0), id="wall", text="wall")
    hip = mark("point", (600, 500), against="wall")
    words = sentences(hip, wall, sight=Sight("face-on", handed))[0]
    assert words == f"11° ±1° off wall, {way} the target"


def test_two_lines_make_an_angle():
    other = mark("line", (0, 0), (0, 1000), id="other", text="shaft")
    line = mark("line", (0, 500), (1000, 500), against="other", shows="lines")
    assert sentences(line, other)[2] == "90° ±1° to shaft"
    assert said(line, [line, other], Sight()) == "90° ±1°"


def test_lines_without_a_name_are_told_apart_by_number():
    lines = [mark("line", (0, 1000 * n), (1000, 1000 * n), id=f"{n}") for n in (1, 2)]
    point = mark("point", (1000, 900), against="1")
    assert sentences(point, lines[0])[0] == "6° ±1° above the line"
    assert sentences(point, *lines)[0] == "6° ±1° above line 1"
    named = [replace(line, text="plane") for line in lines]
    assert sentences(point, *named)[0] == "6° ±1° above plane (line 1)"


def test_a_line_that_is_gone_measures_nothing():
    point = mark("point", (5, 5), against="gone", shows="off")
    assert sentences(point) == []
    assert said(point, [point], Sight()) == ""


def test_a_coach_who_marks_less_exactly_is_less_sure():
    assert sentences(LEANING, sight=Sight(error_px=24))[1].startswith("6° ±2°")


@pytest.mark.parametrize("kind", ["box", "ellipse", "label", "freehand"])
def test_other_marks_measure_nothing(kind: str):
    assert sentences(mark(kind, (0, 0), (100, 100), text="x")) == []
