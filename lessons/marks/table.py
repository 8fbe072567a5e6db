"""Measures compared: rows are named marks, columns stills, and what changed from first to last."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lessons.clips.models import Still
from lessons.marks import readings
from lessons.marks.mark import Mark
from lessons.marks.measures import Measure, rounded, shown_measure
from lessons.marks.plot import Plot, plot_of
from lessons.marks.service import marks_of, sight_of

# After how many degrees the direction of a line comes round again
TURN = {"level": 180.0, "upright": 180.0}
WORDS = {
    "angle": "angle",
    "level": "to the horizontal",
    "upright": "from the vertical",
    "length": "length",
}


@dataclass(frozen=True)
class Change:
    """From the first still to the last that has the measure."""

    by: float
    error: float
    unit: str
    way: str

    @property
    def is_clear(self) -> bool:
        """Whether it is more than its plus-or-minus."""
        return abs(self.by) > self.error

    @property
    def amount(self) -> str:
        value, error = rounded(abs(self.by), self.error, self.unit)
        return f"{value}° ±{error}°" if self.unit == "°" else f"{value} ±{error} cm"

    @property
    def verdict(self) -> str:
        return "clear" if self.is_clear else "within the marking error"

    @property
    def sentence(self) -> str:
        """'5° ±2° toward the target, clear'; no way is claimed within the error."""
        words = f"{self.amount} {self.way}" if self.is_clear else self.amount
        return f"{words}, {self.verdict}"


@dataclass(frozen=True)
class Row:
    """One measure over the stills; a cell is None where a still doesn't have it."""

    name: str
    what: str
    cells: tuple[Measure | None, ...]
    change: Change | None
    plot: Plot | None
    titles: tuple[str, ...] = ()

    @property
    def titled(self) -> list[tuple[str, Measure | None]]:
        """Each cell with the name of its column, for where the row is set as a block."""
        return list(zip(self.titles, self.cells, strict=True))


@dataclass(frozen=True)
class Column:
    still: Still
    title: str


@dataclass(frozen=True)
class Table:
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    # Marks that say a number but have no name to find them by on the other stills
    unnamed: int = 0
    views: int = 1


def table_of(stills: Sequence[Still]) -> Table:
    """The named marks' shown measures on these stills, in the order in which they first stand."""
    found: dict[tuple[str, ...], dict[int, Measure]] = {}
    unnamed = 0
    for place, still in enumerate(stills):
        marks, sight = marks_of(still), sight_of(still)
        for mark in marks:
            measure = shown_measure(mark, marks, sight)
            if measure is None:
                continue
            if not mark.text:
                unnamed += 1
                continue
            cells = found.setdefault(_key(mark, measure), {})
            cells.setdefault(place, measure)
    columns = tuple(
        Column(still, title) for still, title in zip(stills, titles(stills), strict=True)
    )
    rows = tuple(_row(key[0], cells, columns) for key, cells in found.items())
    views = len({still.clip.view for still in stills})
    return Table(columns, rows, unnamed, max(views, 1))


def titles(stills: Sequence[Still]) -> list[str]:
    """Short names of the columns: the position, the part where that tells them apart, or both."""
    names = [still.position or still.caption or f"{still.time_ms / 1e3:.2f} s" for still in stills]
    parts = [still.clip.get_part_display() if still.clip.lesson_id else "" for still in stills]
    if len(set(names)) == len(names):
        return names
    return [f"{part} {name}".strip() for part, name in zip(parts, names, strict=True)]


def change_of(first: Measure, last: Measure) -> Change:
    before, after = (first.value, first.error), (last.value, last.error)
    by, error = readings.change(before, after, TURN.get(first.kind, 0))
    more, less = _ways(first)
    return Change(by, error, first.unit, more if by > 0 else less)


def _key(mark: Mark, measure: Measure) -> tuple[str, ...]:
    """What must be the same for two numbers to be compared."""
    return (mark.text, measure.kind, measure.line, *measure.ways)


def _row(name: str, found: dict[int, Measure], columns: Sequence[Column]) -> Row:
    cells = tuple(found.get(place) for place in range(len(columns)))
    there = [cell for cell in cells if cell]
    one = there[0]
    what = WORDS.get(one.kind) or (one.to if one.kind == "lines" else f"off {one.to}")
    if name.casefold().endswith(what):  # 'Wrist angle' says it already
        what = ""
    names = tuple(column.title for column in columns)
    if len(there) < 2:
        return Row(name, what, cells, None, None, names)
    points = [
        (
            column.title,
            readings.change((one.value, 0), (cell.value, 0), TURN.get(one.kind, 0))[0],
            cell,
        )
        for column, cell in zip(columns, cells, strict=True)
        if cell
    ]
    plot = plot_of(f"{name}, {what}" if what else name, one.value, points)
    return Row(name, what, cells, change_of(one, there[-1]), plot, names)


def _ways(measure: Measure) -> tuple[str, str]:
    """What more and less of a measure are called."""
    up, down = measure.ways
    if measure.kind == "level":
        toward = up.removeprefix("rising ")
        return f"higher {toward}", f"lower {toward}"
    if measure.kind == "upright":
        return up.removeprefix("leaning "), down.removeprefix("leaning ")
    if measure.kind in {"off", "off_cm"}:
        return ("up", "down") if up == "above" else (up, down)
    return ("longer", "shorter") if measure.kind == "length" else ("wider", "narrower")
