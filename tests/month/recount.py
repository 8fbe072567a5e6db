"""The board's figures counted again in plain Python from the script, with exact fractions.

Imports nothing of the site. The rules are those that the board and README tell in words.
"""

from __future__ import annotations

import datetime
import math
from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction
from zoneinfo import ZoneInfo

from tests.month.script import (
    COACH_READS,
    DOSES,
    LESSON_DAY,
    POSTED_AT,
    USUAL_VISIT,
    Act,
    Check,
    Dose,
    Person,
)

SOMETHING_DONE = {"set", "said", "hurt", "sent"}


@dataclass
class Counted:
    """What one row of the board should say at one moment; days are counted from the lesson."""

    days: str
    share: str
    minutes: int
    last: int | None
    aside: list[str]
    why: str  # how the reason begins; empty if no word is due
    drifts: bool
    by_drill: dict[str, tuple[int, int]]  # days practised of days counted
    percent: int | None
    planned: set[str] | None  # None until the student said how long they have


def percent_of(act: Act, dose: Dose) -> int:
    """How much of a day's dose one log is."""
    if act.how != "said":
        return 100
    if act.reps:
        done, whole = (act.sets or dose.sets) * act.reps, dose.sets * dose.reps
    else:
        done, whole = act.minutes, dose.minutes
    return round(100 * done / whole)


def seconds_of(act: Act, dose: Dose) -> Fraction:
    """As long as was said, else the dose's part: its minutes, or a minute a set and 15 s a rep."""
    if act.minutes:
        return Fraction(act.minutes * 60)
    whole = dose.minutes * 60 if dose.minutes else dose.sets * (60 + dose.reps * 15)
    return Fraction(whole * percent_of(act, dose), 100)


class Month:
    """One person's month up to a moment."""

    def __init__(self, person: Person, check: Check) -> None:
        self.person = person
        zone = ZoneInfo(person.zone)
        self.today = (check.instant.astimezone(zone).date() - LESSON_DAY).days
        self.acts = [act for act in person.acts if person.instant(act) <= check.instant]
        posted = POSTED_AT + datetime.timedelta(person.posted_after)
        self.posted = (posted.astimezone(zone).date() - LESSON_DAY).days
        self.is_posted = posted <= check.instant
        self.visit = USUAL_VISIT
        if person.visit_moved and self.has_said(person.visit_moved[0], check):
            self.visit = person.visit_moved[1]
        self.gone: dict[str, int] = {}
        if person.removed and self.has_said(person.removed[0], check):
            said_at = coach_says(person.removed[0]).astimezone(zone).date()
            self.gone[person.removed[1]] = (said_at - LESSON_DAY).days
        rests = [act for act in self.acts if act.how == "rest"]
        self.rested = {day for act in rests for day in range(act.day, act.of + 1)}
        self.is_hurt = self.today in self.rested
        self.asked = [act for act in self.acts if act.how == "ask"]
        self.coach_has_read = COACH_READS.instant <= check.instant
        # drill, day: percent and seconds
        self.done: dict[tuple[str, int], int] = defaultdict(int)
        self.seconds = Fraction(0)
        for act in self.acts:
            if act.how in SOMETHING_DONE:
                dose = DOSES[act.drill]
                self.done[act.drill, act.done_on] += percent_of(act, dose)
                self.seconds += seconds_of(act, dose)

    @staticmethod
    def has_said(day: int, check: Check) -> bool:
        return coach_says(day) <= check.instant

    @property
    def has_read(self) -> bool:
        return any(act.how == "read" for act in self.acts)

    @property
    def held(self) -> list[str]:
        return [drill for drill in self.person.drills if drill not in self.gone]

    def days_of(self, drills: list[str] | tuple[str, ...]) -> tuple[int, int]:
        """Days practised, and days that are over, between lesson and visit; rest left out."""
        edge = min(self.today, self.visit)
        practised = {day for (drill, day) in self.done if drill in drills and 0 <= day <= edge}
        over = set(range(1, edge)) - (self.rested - practised)
        return len(practised), len(over | practised)

    def due_and_done(self, drill: str) -> tuple[Fraction, Fraction]:
        """Days' doses due so far, and done."""
        until = min(self.visit, self.gone.get(drill, self.visit))
        given = max(0, self.posted)
        open_days = [
            day for day in range(given + 1, min(self.today, until)) if day not in self.rested
        ]
        due = Fraction(DOSES[drill].days_a_week * len(open_days), 7)
        done = sum(
            min(Fraction(percent, 100), Fraction(1))
            for (name, day), percent in self.done.items()
            if name == drill and given <= day <= until and day <= self.today
        )
        return due, Fraction(done)

    def percent(self) -> int | None:
        pairs = [self.due_and_done(drill) for drill in self.person.drills]
        due = sum(due for due, _ in pairs)
        return math.floor(100 * sum(min(pair) for pair in pairs) / due) if due else None

    @property
    def aside(self) -> list[str]:
        pairs = {drill: self.due_and_done(drill) for drill in self.held}
        return [drill for drill, (due, done) in pairs.items() if due >= 3 and not done]

    @property
    def last(self) -> int | None:
        return max((day for _, day in self.done), default=None)

    def drift(self) -> tuple[int, int] | None:
        """Days practised in the last seven and in the seven before, if that is drifting."""
        today = self.today
        if today - self.posted - 1 < 14 or self.visit < today or not self.held:
            return None
        if self.rested & set(range(today - 14, today + 1)):
            return None
        practised = {day for _, day in self.done if self.posted <= day <= today}
        lately = len(practised & set(range(today - 7, today + 1)))
        before = len(practised & set(range(today - 14, today - 7)))
        asked = max(DOSES[drill].days_a_week for drill in self.held)
        is_it = before >= 2 and 2 * lately <= before and lately < asked
        return (lately, before) if is_it else None

    def why(self) -> str:
        """How the reason for a word begins."""
        today = self.today
        hurt = [act.day for act in self.acts if act.how == "hurt"]
        if self.is_hurt:
            return "Hurt, and resting until"
        if hurt and today - max(hurt) <= 7:
            return "Logged"
        if self.asked and not self.coach_has_read:
            return "1 question not read yet"
        if not self.has_read and today - self.posted >= 3:
            return f"Recap not seen, {today - self.posted} days after posting"
        since = self.posted if self.last is None else self.last
        idle = today - since - len(self.rested & set(range(since + 1, today)))
        if self.visit >= today and idle >= 7:
            return f"Nothing practised for {idle} days"
        if self.visit < today:
            return "Next visit was due"
        if drift := self.drift():
            return f"Practised on {drift[0]} of the last 7 days, on {drift[1]} of the 7 before"
        return f"Left {' and '.join(self.aside)} aside" if self.aside else ""

    def planned(self) -> set[str]:
        """What today's page asks for, if there is time for all of it.

        A week of practice has seven days from the day after the lesson; a drill is asked on its
        open days, spread evenly: by the end of the n-th of N it should be done ceil(n * asked / N)
        times. Fewer than seven open days ask for their part of the week's dose, once at least.
        """
        if self.today in self.rested or not 0 < self.today < self.visit:
            return set()
        week = (self.today - 1) // 7
        days = range(7 * week + 1, 7 * week + 8)
        asked_today = set()
        for drill in self.held:
            open_days = [
                day
                for day in days
                if max(0, self.posted) < day < self.visit and day not in self.rested
            ]
            if self.today not in open_days:
                continue
            asked = DOSES[drill].days_a_week
            if len(open_days) < 7:
                asked = max(1, min(len(open_days), round(asked * len(open_days) / 7)))
            wanted = math.ceil(Fraction((open_days.index(self.today) + 1) * asked, len(open_days)))
            first = 0 if week == 0 else days[0]
            done = {day for name, day in self.done if name == drill and first <= day < self.today}
            if wanted > len(done):
                asked_today.add(drill)
        return asked_today


def coach_says(day: int) -> datetime.datetime:
    """When the coach moves a visit or takes a drill away."""
    return POSTED_AT + datetime.timedelta(day, hours=4)


def recount(person: Person, check: Check) -> Counted | None:
    """The figures of one row at one moment; None before the lesson is posted."""
    month = Month(person, check)
    if not month.is_posted:
        return None
    practised, counted = month.days_of(person.drills)
    percent = month.percent()
    return Counted(
        days=f"{practised} of {counted} day{'' if counted == 1 else 's'}",
        share="nothing due yet" if percent is None else f"{percent} %",
        minutes=round(month.seconds / 60),
        last=None if month.last is None else month.today - month.last,
        aside=month.aside if practised else [],
        why=month.why(),
        drifts=month.drift() is not None,
        by_drill={drill: month.days_of([drill]) for drill in person.drills},
        percent=percent,
        planned=month.planned() if month.has_read else None,
    )
