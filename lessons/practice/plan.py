"""What to practise on which day, and in what order. Pure: doses, logs and dates in, a plan out.

Why it plans as it does, with the published sources (the first two from memory):

- Practice is spread over the week, not massed on one day: Cepeda, Pashler, Vul, Wixted and Rohrer,
  'Distributed practice in verbal recall tasks', Psychological Bulletin 132(3), 354 (2006).
  Direction of effect only.
- Drills take turns instead of being done one after the other: Shea and Morgan, 'Contextual
  interference effects on the acquisition, retention, and transfer of a motor skill', Journal of
  Experimental Psychology: Human Learning and Memory 5(2), 179 (1979). Direction of effect only. A
  meta-analysis of 2024 (PMID 39205981, abstract read) finds an effect on transfer of 0.55 overall,
  but 0.34 and not significant outside the laboratory. So turns are a suggestion: a student may do
  one drill at a time.

The plan asks for no more than the dose and makes up for nothing: each week of practice begins
afresh, and a day holds one day's dose of a drill at most.
"""

from __future__ import annotations

import datetime
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lessons.practice.share import Done, Given, Pause
from lessons.practice.weeks import WEEK_DAYS, week_of

USUAL_MINUTES = 20  # until the student says how long they have
OPEN_DAYS = 14  # how far ahead it plans without a next visit
MOST_DAYS = 42  # and with one that is far away
# How long a dose takes that says no minutes: common practice, no source
SECONDS_A_REP = 15
SECONDS_TO_SET_UP = 60
SECONDS_UNTOLD = 5 * 60
LONGEST_TURN_SECONDS = 5 * 60


@dataclass(frozen=True)
class Dose:
    """One drill given, and how much of it is one day's dose."""

    given: Given
    sets: int | None = None
    reps: int | None = None
    minutes: int | None = None

    @property
    def key(self) -> int:
        return self.given.key

    @property
    def seconds(self) -> int:
        """How long one day's dose takes: as set, else an estimate from its repetitions."""
        if self.minutes:
            return self.minutes * 60
        if self.reps:
            return (self.sets or 1) * (SECONDS_TO_SET_UP + self.reps * SECONDS_A_REP)
        return (self.sets or 1) * SECONDS_UNTOLD

    @property
    def turn_count(self) -> int:
        """Into how many turns it is divided: its sets, or its minutes by at most five."""
        if self.sets or self.reps:
            return self.sets or 1
        return math.ceil(self.seconds / LONGEST_TURN_SECONDS)

    def is_asked_on(self, day: datetime.date) -> bool:
        """From the day after it was given until the day before it ends."""
        ends = self.given.until
        return self.given.given_on < day and (ends is None or day < ends)


@dataclass(frozen=True)
class Turn:
    """One turn of a drill: which of how many, and its repetitions or its seconds."""

    key: int
    number: int
    of: int
    reps: int | None
    seconds: int


@dataclass(frozen=True)
class PlanDay:
    """One day: the drills to do, how long they take, and what has to wait for want of time."""

    day: datetime.date
    keys: tuple[int, ...] = ()
    seconds: int = 0
    waiting: tuple[int, ...] = ()
    is_paused: bool = False

    @property
    def minutes(self) -> int:
        return math.ceil(self.seconds / 60)


def plan(
    doses: Sequence[Dose],
    done: Iterable[Done],
    start: datetime.date,
    today: datetime.date,
    *,
    minutes: int = USUAL_MINUTES,
    next_visit: datetime.date | None = None,
    pauses: Sequence[Pause] = (),
) -> list[PlanDay]:
    """Each day from today to the day before the next visit, MOST_DAYS at most; none if it is over.

    `start` is the day of the lesson, `done` the standing logs of its drills. A drill is due on a
    day if by its end the dose, spread evenly over the open days of its week, is ahead of what was
    done. The drills that are furthest behind come first, then those left longest; they are taken
    while they fit into `minutes`, and one always is. What was done today does not change today's
    list. Paused days ask for nothing and the dose of their week shrinks with them.

    Example: 5 days a week from a lesson on Thursday gives Friday, Saturday, Sunday, rest, Tuesday,
    Wednesday, rest; 2 days a week gives Friday and Monday.
    """
    last = next_visit or today + datetime.timedelta(OPEN_DAYS)
    practised: dict[int, set[datetime.date]] = defaultdict(set)
    for log in done:
        if log.day < today:
            practised[log.key].add(log.day)
    days = []
    for step in range(min(MOST_DAYS, (last - today).days)):
        day = today + datetime.timedelta(step)
        if any(day in pause for pause in pauses):
            days.append(PlanDay(day, is_paused=True))
            continue
        made = plan_day(doses, practised, start, day, minutes, pauses)
        days.append(made)
        for key in made.keys:
            practised[key].add(day)
    return days


def plan_day(
    doses: Sequence[Dose],
    practised: dict[int, set[datetime.date]],
    start: datetime.date,
    day: datetime.date,
    minutes: int,
    pauses: Sequence[Pause],
) -> PlanDay:
    """One day of the plan, given on which days before it each drill was or will be practised."""
    behind = {
        dose.key: days_behind(dose, practised[dose.key], start, day, pauses) for dose in doses
    }

    def first_come(dose: Dose) -> tuple[float, datetime.date]:
        return -behind[dose.key], max(practised[dose.key], default=datetime.date.min)

    keys: list[int] = []
    waiting: list[int] = []
    seconds = 0
    for dose in sorted((dose for dose in doses if behind[dose.key] > 0), key=first_come):
        if keys and seconds + dose.seconds > minutes * 60:
            waiting.append(dose.key)
        else:
            keys.append(dose.key)
            seconds += dose.seconds
    return PlanDay(day, tuple(keys), seconds, tuple(waiting))


def days_behind(
    dose: Dose,
    practised: set[datetime.date],
    start: datetime.date,
    day: datetime.date,
    pauses: Sequence[Pause],
) -> float:
    """How many days' doses are wanted by the end of a day beyond those done; 0 if not asked."""
    if not dose.is_asked_on(day):
        return 0
    week = week_of(start, day)
    week_days = (week.last - week.first).days + 1
    open_days = [
        one
        for one in (week.first + datetime.timedelta(step) for step in range(week_days))
        if dose.is_asked_on(one) and not any(one in pause for pause in pauses)
    ]
    asked = dose.given.days_a_week
    if len(open_days) < WEEK_DAYS:
        asked = max(1, min(len(open_days), round(asked * len(open_days) / WEEK_DAYS)))
    passed = sum(1 for one in open_days if one <= day)
    wanted = math.ceil(passed * asked / len(open_days))
    return max(0, wanted - sum(1 for one in practised if one in week and one < day))


def turns(doses: Sequence[Dose], day: datetime.date) -> list[Turn]:
    """The turns of one day's drills, so that none follows itself while another has turns left.

    The drill with the most turns left comes next, the one longest ago among equals; which drill
    begins changes from day to day.
    """
    if not doses:
        return []
    shift = day.toordinal() % len(doses)
    queue = [*doses[shift:], *doses[:shift]]
    left = {dose.key: dose.turn_count for dose in queue}
    made: list[Turn] = []
    while any(left.values()):
        others = [d for d in queue if left[d.key] and not (made and made[-1].key == d.key)]
        dose = max(others or [d for d in queue if left[d.key]], key=lambda d: left[d.key])
        number = dose.turn_count - left[dose.key] + 1
        seconds = round(dose.seconds / dose.turn_count)
        made.append(Turn(dose.key, number, dose.turn_count, dose.reps, seconds))
        left[dose.key] -= 1
        queue.remove(dose)
        queue.append(dose)
    return made
