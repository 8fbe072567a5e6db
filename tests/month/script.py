"""What ten students with different habits do in one month: words and dates only.

The month is March 2025: clocks go forward in Los Angeles on the 9th and in Berlin on the 30th,
and Auckland keeps its summer time. Days are counted from the lesson's day, 0, in each student's
own calendar. Imports nothing of the site, so that a recount from it is independent.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from zoneinfo import ZoneInfo

LESSON_DAY = datetime.date(2025, 3, 5)
POSTED_AT = datetime.datetime(2025, 3, 5, 10, 0, tzinfo=datetime.UTC)
USUAL_VISIT = 28
LAST_DAY = 30

BERLIN, ANGELES, AUCKLAND, LONDON = (
    "Europe/Berlin",
    "America/Los_Angeles",
    "Pacific/Auckland",
    "Europe/London",
)


@dataclass(frozen=True)
class Dose:
    """One day's dose: sets x reps or minutes; and on how many days a week."""

    days_a_week: int
    sets: int | None = None
    reps: int | None = None
    minutes: int | None = None


DOSES = {
    "sway gate": Dose(5, sets=3, reps=10),
    "three-count": Dose(4, sets=2, reps=15),
    "distance ladder": Dose(3, minutes=20),
}


@dataclass(frozen=True)
class Act:
    """One thing a student does on a day of theirs, at a time of their clock.

    `how` is one of: read, set (as set), said (an amount), undone, hurt (as set, and it hurt),
    sent (kept without a signal for day `of`, sent now), rest (until day `of`), ask.
    """

    day: int
    at: str
    how: str
    drill: str = ""
    of: int | None = None  # the day it was done on, if not today; the last day of a rest
    sets: int | None = None
    reps: int | None = None
    minutes: int | None = None
    felt: int | None = None
    note: str = ""

    @property
    def done_on(self) -> int:
        return self.day if self.of is None else self.of


@dataclass(frozen=True)
class Person:
    """One student: where they live, what they were given, and all that they do."""

    name: str
    zone: str
    drills: tuple[str, ...]
    acts: tuple[Act, ...] = ()
    posted_after: int = 0  # days between the lesson and its posting
    # (on which day the coach says so, what): a visit moved, a drill taken away
    visit_moved: tuple[int, int] | None = None
    removed: tuple[int, str] | None = None

    def instant(self, act: Act) -> datetime.datetime:
        """When an act happens, by the clock on the student's wall."""
        day = LESSON_DAY + datetime.timedelta(act.day)
        time = datetime.time.fromisoformat(act.at)
        return datetime.datetime.combine(day, time, ZoneInfo(self.zone))


def read(day: int = 1, at: str = "07:00") -> Act:
    return Act(day, at, "read")


def each(
    days: range | tuple[int, ...], at: str, how: str, *drills: str, **more: object
) -> list[Act]:
    return [Act(day, at, how, drill, **more) for day in days for drill in drills]


GATE, COUNT, LADDER = DOSES

DAILY = Person(
    "Every Day",
    BERLIN,
    (GATE, COUNT),
    (read(), *each(range(1, 28), "20:00", "set", GATE, COUNT)),
)
NEVER = Person("Never Opened", LONDON, (GATE, COUNT))
ONE_DRILL = Person(
    "One Drill",
    ANGELES,
    (GATE, COUNT),
    (
        read(),
        *each(range(1, 28, 2), "23:30", "set", GATE),
        Act(5, "09:00", "ask", note="May I leave the count out?"),
    ),
)
FADES = Person(
    "Fading Out",
    BERLIN,
    (GATE, COUNT),
    (
        read(),
        *each(range(1, 11), "19:00", "set", GATE, COUNT),
        *each((16, 20), "19:00", "set", GATE),
    ),
)
HALVES = Person(
    "Half Doses",
    LONDON,
    (GATE, LADDER),
    (
        read(),
        *each(range(2, 26, 3), "18:00", "said", GATE, sets=3, reps=5, felt=2),
        *each(range(2, 13, 2), "18:30", "said", LADDER, minutes=12, felt=4, note="Went well."),
    ),
    removed=(14, LADDER),
)
WEEKENDS = Person(
    "Weekend Only",
    BERLIN,
    (GATE,),
    (read(), *each((3, 4, 10, 11, 17, 18, 24), "11:00", "said", GATE, sets=9, reps=10, felt=5)),
    visit_moved=(12, 25),
)
LATE = Person(
    "Posted Late",
    AUCKLAND,
    (GATE, COUNT),
    (
        read(4),
        *each(range(4, 27), "23:40", "set", COUNT),
        *each(range(5, 26, 4), "06:10", "set", GATE),
    ),
    posted_after=3,
)
MORNINGS = Person(
    "Next Morning",
    ANGELES,
    (COUNT, LADDER),
    (
        read(),
        *(
            Act(day, "06:30", "undone" if day % 3 == 0 else "set", COUNT, of=day - 1, felt=3)
            for day in range(2, 28)
        ),
        *each(range(6, 27, 5), "06:40", "set", LADDER),
    ),
)
HURT = Person(
    "Was Hurt",
    LONDON,
    (GATE, COUNT),
    (
        read(),
        *each(range(1, 8), "17:00", "set", GATE, COUNT),
        Act(8, "17:00", "hurt", GATE, note="The lower back."),
        Act(9, "08:00", "rest", of=13),
        *each(range(16, 27, 2), "17:00", "set", GATE, COUNT),
    ),
)
OFFLINE = Person(
    "No Signal",
    AUCKLAND,
    (COUNT, LADDER),
    (
        read(),
        *(
            Act(sent, "12:00", "sent", drill, of=sent - back, felt=4)
            for sent in range(4, 28, 4)
            for back in (3, 2, 0)
            for drill in (COUNT, LADDER)
        ),
    ),
)

PEOPLE = (DAILY, NEVER, ONE_DRILL, FADES, HALVES, WEEKENDS, LATE, MORNINGS, HURT, OFFLINE)


@dataclass(frozen=True)
class Check:
    """A moment at which the pages are compared with the recount."""

    day: int
    hour: int = 12  # UTC

    @property
    def instant(self) -> datetime.datetime:
        day = LESSON_DAY + datetime.timedelta(self.day)
        return datetime.datetime.combine(day, datetime.time(self.hour), datetime.UTC)


CHECKS = tuple(
    Check(day, hour)
    for day, hour in (
        (1, 12),
        (3, 5),
        (6, 12),
        (9, 12),
        (12, 23),
        (15, 12),
        (18, 6),
        (20, 12),
        (23, 12),
        (25, 1),
        (26, 12),
        (28, 12),
        (30, 12),
    )
)
# The coach reads what was asked
COACH_READS = Check(7)
