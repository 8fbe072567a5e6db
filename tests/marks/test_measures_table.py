"""Measures compared over stills, what changed, and what the plot shows."""

from __future__ import annotations

import pytest

from lessons.clips.models import Clip, Still
from lessons.marks.service import save_marks
from lessons.marks.table import Table, table_of
from lessons.visits.models import Lesson, Part
from tests.marks.conftest import line, make_still

# 300 pixels high: sqrt(2) 3 / 300 = 0.8 degrees of error
BEFORE = [[200, 400], [200, 100]]
LITTLE = [[200, 400], [203, 100]]
MUCH = [[200, 400], [280, 100]]


def spine(points: list[list[int]], **values: object) -> dict[str, object]:
    return line(points=points, text="Spine", shows="upright", **values)


def compared(lesson: Lesson, *drawn: list[dict[str, object]]) -> Table:
    stills = []
    for part, marks in zip(Part, drawn, strict=False):
        still = make_still(lesson, position="P4")
        Clip.objects.filter(pk=still.clip_id).update(part=part)
        still = Still.objects.get(pk=still.pk)
        save_marks(still, 0, marks)
        stills.append(still)
    return table_of(stills)


def test_what_changed_more_than_the_error_is_clear(lesson: Lesson):
    """atan(80 / 300) = 14.9 degrees; error sqrt(0.81^2 + 0.78^2) = 1.1."""
    table = compared(lesson, [spine(BEFORE)], [spine(MUCH)])
    (row,) = table.rows
    assert [column.title for column in table.columns] == ["Start P4", "Middle P4"]
    assert (row.name, row.what) == ("Spine", "from the vertical")
    assert row.change is not None
    assert row.change.sentence == "15° ±1° toward the target, clear"


def test_what_changed_less_is_within_the_marking_error(lesson: Lesson):
    (row,) = compared(lesson, [spine(BEFORE)], [spine(LITTLE)]).rows
    assert row.change is not None
    assert row.change.sentence == "1° ±1°, within the marking error"


def test_a_left_handed_players_way_is_the_other(lesson: Lesson):
    lesson.student.handed = "left"
    lesson.student.save()
    (row,) = compared(lesson, [spine(BEFORE)], [spine(MUCH)]).rows
    assert row.change is not None
    assert row.change.way == "away from the target"


def test_a_still_without_the_mark_leaves_its_cell_empty(lesson: Lesson):
    (row,) = compared(lesson, [spine(BEFORE)], [], [spine(MUCH)]).rows
    assert [cell is None for cell in row.cells] == [False, True, False]
    assert row.change is not None
    assert row.plot is not None
    assert len(row.plot.dots) == 2


def test_marks_without_a_name_are_counted(lesson: Lesson):
    table = compared(lesson, [line(points=BEFORE, shows="level"), spine(BEFORE, id="b")])
    assert (len(table.rows), table.unnamed) == (1, 1)
    assert (table.rows[0].change, table.rows[0].plot) == (None, None)


def test_other_camera_places_are_not_compared(lesson: Lesson):
    first, second = make_still(lesson), make_still(lesson)
    Clip.objects.filter(pk=second.clip_id).update(view=Clip.View.DOWN_THE_LINE)
    second = Still.objects.get(pk=second.pk)
    for still in (first, second):
        save_marks(still, 0, [spine(BEFORE)])
    table = table_of([first, second])
    assert (len(table.rows), table.views) == (2, 2)


def test_the_plot_says_its_numbers_and_its_bars_reach_the_errors(lesson: Lesson):
    (row,) = compared(lesson, [spine(BEFORE)], [spine(MUCH)]).rows
    plot = row.plot
    assert plot is not None
    assert plot.alt == (
        "Spine, from the vertical: Start P4 0° ±1° from the vertical; "
        "Middle P4 15° ±1° from the vertical, leaning toward the target."
    )
    first, last = plot.dots
    assert last.y < first.y
    assert plot.zero == pytest.approx(first.y)
    assert (min(d.top for d in plot.dots), max(d.bottom for d in plot.dots)) == (8, 48)
    a_degree = (first.y - last.y) / (row.cells[1].value - row.cells[0].value)
    assert first.bottom - first.y == pytest.approx(a_degree * row.cells[0].error)


@pytest.mark.parametrize(
    ("shows", "after", "way"),
    [
        ("level", [[100, 200], [400, 100]], "higher toward the target"),
        ("level", [[100, 200], [400, 300]], "lower toward the target"),
        ("length", [[100, 200], [600, 200]], "longer"),
        ("length", [[100, 200], [200, 200]], "shorter"),
        ("lines", [[100, 200], [400, 100]], "wider"),
    ],
)
def test_each_measure_has_its_own_words_for_a_change(
    lesson: Lesson, shows: str, after: list[list[int]], way: str
):
    def drawn(points: list[list[int]]) -> list[dict[str, object]]:
        return [
            line(id="belt", points=points, text="Belt", shows=shows, against="ground"),
            line(id="ground", points=[[0, 470], [600, 470]], text="ground"),
            line(id="club", kind="ruler", points=[[0, 0], [500, 0]], length_mm=1000),
        ]

    (row,) = compared(lesson, drawn([[100, 200], [400, 200]]), drawn(after)).rows
    assert row.change is not None
    assert (row.change.is_clear, row.change.way) == (True, way)


def test_it_takes_three_columns_of_one_position_by_their_part(lesson: Lesson):
    table = compared(lesson, [spine(BEFORE)], [spine(LITTLE)], [spine(MUCH)])
    assert [c.title for c in table.columns] == ["Start P4", "Middle P4", "End P4"]


def test_lines_told_apart_by_number_on_one_still_stay_one_row(lesson: Lesson):
    plane = line(id="plane", points=[[50, 400], [550, 400]])
    other = line(id="other", points=[[10, 10], [90, 10]])
    hands = {"id": "hands", "kind": "point", "text": "Hands", "against": "plane", "shows": "off"}
    points = [line(**hands, points=[[550, y]]) for y in (300, 340)]
    table = compared(lesson, [plane, points[0]], [other, plane, points[1]])
    assert [(row.name, row.cells.count(None)) for row in table.rows] == [("Hands", 0)]


def test_a_name_that_says_what_is_measured_is_not_said_twice(lesson: Lesson):
    corner = [[100, 100], [200, 100], [200, 200]]
    drawn = [line(kind="angle", points=corner, text=text) for text in ("Wrist angle", "Elbow")]
    drawn = [{**mark, "id": f"a{n}"} for n, mark in enumerate(drawn)]
    rows = compared(lesson, drawn).rows
    assert [(row.name, row.what) for row in rows] == [("Wrist angle", ""), ("Elbow", "angle")]
