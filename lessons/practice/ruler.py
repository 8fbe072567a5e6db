"""The practice ruler: from a lesson to the next visit, a tick a day. Pure.

Knows days and amounts; the drawing's geometry is here too, so that templates/practice/_ruler.html
only repeats it. Lengths are in units of the drawing's own box, WIDTH x HEIGHT.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from lessons.practice.words import count, date_words

WIDTH, HEIGHT = 336.0, 46.0
BASE = 36.0  # where ticks stand
MARGIN = 7.0
WIDEST = 5.0
REST_HEIGHT = 5.0
PAUSE_HEIGHT = 2.0
TODAY_HEIGHT = 16.0  # today stands out before anything is done
# Height of a practised day by its level: a little, half and more, as set, more than set
HEIGHTS = (REST_HEIGHT, 13.0, 19.0, 25.0, 32.0)
OPEN_DAYS = 28  # what is drawn when there is no next visit yet
MOST_DAYS = 120  # more ticks than this can't be told apart on a phone


class Visit(Protocol):
    """What the ruler needs of a lesson."""

    date: datetime.date
    next_visit: datetime.date | None


class Entry(Protocol):
    """What the ruler needs of a log."""

    day: datetime.date
    percent: int


@dataclass(frozen=True)
class Tick:
    """One day: when it is, how much was practised (level 0 to 4), and where it stands."""

    day: datetime.date
    when: str  # past, today, ahead
    level: int
    x: float
    width: float
    paused: bool = False

    @property
    def height(self) -> float:
        if self.when == "today" and not self.level:
            return TODAY_HEIGHT
        if self.paused and not self.level:
            return PAUSE_HEIGHT
        return HEIGHTS[self.level]

    @property
    def left(self) -> float:
        return round(self.x - self.thickness / 2, 2)

    @property
    def top(self) -> float:
        return BASE - self.height

    @property
    def thickness(self) -> float:
        """A day without practice is a thin line, with practice a bar; a paused one lies flat."""
        if self.level or (self.paused and self.when != "today"):
            return self.width
        return min(2.0 if self.when == "today" else 1.25, self.width)

    @property
    def kind(self) -> str:
        """The classes that colour it."""
        if self.level:
            return f"{self.when} filled"
        return f"{self.when} rest" if self.paused else self.when


@dataclass(frozen=True)
class Ruler:
    """The ticks from the lesson (or the first day drawn) to the next visit, and their sum."""

    lesson_day: datetime.date
    next_visit: datetime.date | None
    today: datetime.date
    ticks: tuple[Tick, ...]
    practised_days: int
    counted_days: int
    paused_days: int = 0

    width, height, base = WIDTH, HEIGHT, BASE

    @property
    def last_day(self) -> datetime.date:
        """The last day that is drawn: the next visit, if there is one."""
        return self.ticks[-1].day

    @property
    def week_marks(self) -> list[float]:
        """Where a week since the lesson is full."""
        return [
            tick.x
            for tick in self.ticks
            if (tick.day - self.lesson_day).days % 7 == 0 and tick.day != self.lesson_day
        ]

    @property
    def today_tick(self) -> Tick | None:
        return next((tick for tick in self.ticks if tick.when == "today"), None)

    @property
    def visit_tick(self) -> Tick | None:
        last = self.ticks[-1]
        return last if last.day == self.next_visit else None

    @property
    def days_left(self) -> int | None:
        """Days until the next visit: 0 on its day, negative after it, None without one."""
        return None if self.next_visit is None else (self.next_visit - self.today).days

    @property
    def words(self) -> str:
        """The same as the drawing, in words."""
        return f"{self.practice_words}; {self.visit_words}."

    @property
    def practice_words(self) -> str:
        since = f"since the lesson on {date_words(self.lesson_day, self.today)}"
        if not self.counted_days:
            told = f"Nothing to show yet {since}"
        elif not self.practised_days:
            told = f"No practice logged {since}"
        else:
            told = (
                f"Practised on {self.practised_days} of {count(self.counted_days, 'day')} {since}"
            )
        return f"{told}, and {count(self.paused_days, 'day')} of rest" if self.paused_days else told

    @property
    def visit_words(self) -> str:
        left = self.days_left
        if left is None or self.next_visit is None:
            return "no date yet for the next lesson"
        day = date_words(self.next_visit, self.today)
        if left < 0:
            return f"the next lesson was due on {day}"
        return f"next lesson today, {day}" if left == 0 else f"{count(left, 'day')} until {day}"


def level_of(percent: int, drills: int) -> int:
    """How tall a day is: 0 nothing, 1 a little, 2 half and more, 3 all as set, 4 more than set.

    `percent` is the sum over the day's logs, 100 for each drill done as set; `drills` how many
    were set.
    """
    if percent <= 0:
        return 0
    part = percent / (100 * max(1, drills))
    return 1 if part < 0.5 else 2 if part < 1 else 3 if part == 1 else 4


def ruler(
    lesson: Visit,
    logs: Iterable[Entry],
    today: datetime.date,
    drills: int = 1,
    pauses: Sequence[Container[datetime.date]] = (),
) -> Ruler:
    """The ruler of one lesson; `logs` are the standing ones of its drills, in any order.

    It ends at the next visit, or without one OPEN_DAYS after the lesson or today if later.
    A day is counted once it is over or practised on; the lesson's own day only if practised, and
    a day of `pauses` (hurt or resting) too.
    """
    percents: dict[datetime.date, int] = defaultdict(int)
    for log in logs:
        percents[log.day] += log.percent
    first = lesson.date
    last = max(first, lesson.next_visit or max(today, first + datetime.timedelta(OPEN_DAYS)))
    over = max(0, (min(today, last) - first).days - 1)
    edge = min(today, last)
    practised = [d for d, percent in percents.items() if percent > 0 and first <= d <= edge]
    resting = {
        day
        for day in (first + datetime.timedelta(step) for step in range(1, over + 1))
        if any(day in pause for pause in pauses) and day not in practised
    }
    counted = over - len(resting) + sum(1 for day in practised if day in (first, edge))
    shown = max(first, last - datetime.timedelta(MOST_DAYS - 1))
    days = (last - shown).days + 1
    gap = (WIDTH - 2 * MARGIN) / max(1, days - 1)
    ticks = []
    for step in range(days):
        day = shown + datetime.timedelta(step)
        ticks.append(
            Tick(
                day=day,
                when="today" if day == today else "past" if day < today else "ahead",
                level=level_of(percents.get(day, 0), drills),
                x=round(MARGIN + step * gap, 2),
                width=round(min(WIDEST, gap * 0.55), 2),
                paused=any(day in pause for pause in pauses),
            )
        )
    return Ruler(
        first, lesson.next_visit, today, tuple(ticks), len(practised), counted, len(resting)
    )
