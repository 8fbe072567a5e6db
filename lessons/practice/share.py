"""How much of the dose is done so far. Pure: dates and numbers in, a share out.

Knows nothing of rows, requests or clocks; every date is a day of the student's own calendar.
"""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lessons.practice.weeks import WEEK_DAYS

AS_SET_PERCENT = 100
LEFT_ASIDE_DAYS = 3


@dataclass(frozen=True)
class Given:
    """One drill with its dose: how many days a week, from when, and until when it is asked.

    `given_on` is the day it was given: the lesson's day, or later if it was posted or added
    later. `until` is the day of the next visit or the day it was taken away, whichever comes
    first; None while neither is known.
    """

    key: int
    days_a_week: int
    given_on: datetime.date
    until: datetime.date | None = None


@dataclass(frozen=True)
class Pause:
    """Days on which nothing is asked, both ends included: the student is hurt or resting."""

    first: datetime.date
    last: datetime.date

    def __contains__(self, day: datetime.date) -> bool:
        return self.first <= day <= self.last


@dataclass(frozen=True)
class Done:
    """One practice entry: which drill, on which day, how much in percent of a day's dose."""

    key: int
    day: datetime.date
    percent: int = AS_SET_PERCENT


@dataclass(frozen=True)
class DrillShare:
    """One drill's part of the share, in days' doses."""

    key: int
    due_days: float
    done_days: float

    @property
    def counted_days(self) -> float:
        return min(self.done_days, self.due_days)

    @property
    def is_left_aside(self) -> bool:
        """Three days' doses or more were due, and none of it was done."""
        return self.due_days >= LEFT_ASIDE_DAYS and not self.done_days


@dataclass(frozen=True)
class Share:
    """The share of all drills together, and each drill's part in the order given."""

    drills: tuple[DrillShare, ...]

    @property
    def due_days(self) -> float:
        return sum(drill.due_days for drill in self.drills)

    @property
    def done_days(self) -> float:
        return sum(drill.done_days for drill in self.drills)

    @property
    def part(self) -> float | None:
        """0 to 1; None while nothing is due yet, or nothing was given."""
        if not self.due_days:
            return None
        return sum(drill.counted_days for drill in self.drills) / self.due_days

    @property
    def percent(self) -> int | None:
        """The part in whole percent, rounded down: 100 only when all that was due is done."""
        part = self.part
        return None if part is None else int(part * 100 + 1e-9)


def days_due(
    given: Given, start: datetime.date, today: datetime.date, pauses: Sequence[Pause] = ()
) -> int:
    """Days that are over and on which the drill was asked.

    Strictly after the day it was given (a lesson's own day asks for nothing) and strictly before
    today, the next visit and the day it was taken away, whichever is first; paused days left out.
    """
    last = today if given.until is None else min(today, given.until)
    first = max(start, given.given_on)
    over = (first + datetime.timedelta(step) for step in range(1, (last - first).days))
    return sum(1 for day in over if not any(day in pause for pause in pauses))


def dose_share(
    assignments: Sequence[Given],
    logs: Iterable[Done],
    start: datetime.date,
    today: datetime.date,
    pauses: Sequence[Pause] = (),
) -> Share:
    """The share of the dose done so far, with the dose prorated to today.

    For each drill i, counted in days' doses:

        due_i  = days_a_week_i / 7 * (days that are over since it was given, but paused ones)
        done_i = sum over days of min(1, percent logged that day / 100)
        share  = sum of min(done_i, due_i) / sum of due_i

    The rules behind it:

    - A day is due once it is over; practice of today counts at once. So nobody is behind in the
      morning, and on the lesson's day and the day after nothing is due: the share is None.
    - A day counts as one day's dose at most: three times the dose on Sunday is one Sunday.
    - A drill counts up to what was due of it: doing more of one cannot hide another left aside.
    - Drills weigh by their days a week.
    - A drill given later is due from the day after; one taken away early is due until the day
      before, and what was done of it until then counts. From the next visit on nothing more is
      due, and the share stands still.
    - A paused day (hurt or resting) asks for nothing: it is not due. What was done on it all the
      same counts.
    - Logs of the day it was given and of the last day count; logs before, after, of the days
      to come or of a drill that is not among `assignments` do not.

    `start` is the day of the lesson; a drill's `given_on` before it counts as `start`.

    Worked example: lesson on Thursday 1 May; sway gate, 5 days a week, and feet together, 2 days
    a week; next visit on 29 May. Today is 9 May, so 7 days are over (2 to 8 May): due are
    5/7 * 7 = 5 and 2/7 * 7 = 2 days' doses. Logged: feet together as set on 2, 4, 6 and 8 May
    (4, counted up to the 2 due), sway gate as set on 3 May and half of it on 5 May, another
    half and then all of it on 7 May (1 + 0.5 + 1 = 2.5). Share = (2.5 + 2) / (5 + 2) = 64 %.

    The same with a pause from 4 to 6 May, which leaves 4 days over: due are 5/7 * 4 = 2.86 and
    2/7 * 4 = 1.14, so the share = (2.5 + 1.14) / (2.86 + 1.14) = 91 %.
    """
    by_key = {given.key: given for given in assignments}
    percents: dict[tuple[int, datetime.date], int] = defaultdict(int)
    for log in logs:
        given = by_key.get(log.key)
        if given is None or log.day > today or log.day < max(start, given.given_on):
            continue
        if given.until is None or log.day <= given.until:
            percents[log.key, log.day] += log.percent
    done: dict[int, float] = defaultdict(float)
    for (key, _), percent in percents.items():
        done[key] += min(percent, AS_SET_PERCENT) / AS_SET_PERCENT
    return Share(
        tuple(
            DrillShare(
                key=given.key,
                due_days=given.days_a_week * days_due(given, start, today, pauses) / WEEK_DAYS,
                done_days=done[given.key],
            )
            for given in assignments
        )
    )
