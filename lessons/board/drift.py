"""Who is drifting: practice that falls off before it stops. Pure.

The rule, which the board tells in words: two weeks or more after a lesson's drills could first be
practised, a student drifts if they practised on at most half as many of the last seven days as of
the seven before, having practised on two or more of those. Days are days that are over, so that
nobody drifts in the morning; today counts as soon as something is logged. Someone who does what
is asked (as many days a week as their busiest drill) never drifts; nobody does once the next visit
is over, or with a day in those two weeks on which they said that they are hurt or resting. No score
is made.
"""

from __future__ import annotations

import datetime
from collections.abc import Collection, Container, Sequence
from dataclasses import dataclass

WEEK = 7
LEAST_BEFORE = 2

RULE = (
    "practised on at most half as many of the last 7 days as of the 7 before, with 2 days or more "
    "then, on fewer days than were asked, and with no day of rest in between"
)


@dataclass(frozen=True)
class Drift:
    """Days practised in the last seven days, and in the seven before."""

    lately: int
    before: int

    @property
    def words(self) -> str:
        return f"Practised on {self.lately} of the last 7 days, on {self.before} of the 7 before"


def drift(
    practised: Collection[datetime.date],
    *,
    given_on: datetime.date,
    until: datetime.date | None,
    today: datetime.date,
    asked: int,
    pauses: Sequence[Container[datetime.date]] = (),
) -> Drift | None:
    """The drift of one student, or None.

    `practised` are the days on which anything was logged, `given_on` the day of the lesson or of
    its posting if that was later, `until` the next visit, `asked` the days a week of the drill
    with the most, `pauses` the days of rest. The rule stands above.
    """
    days_over = (today - given_on).days - 1
    if not asked or days_over < 2 * WEEK or (until is not None and until < today):
        return None
    window = [today - datetime.timedelta(age) for age in range(2 * WEEK + 1)]
    if any(day in pause for pause in pauses for day in window):
        return None
    ages = {(today - day).days for day in practised if given_on <= day <= today}
    lately = sum(1 for age in ages if age <= WEEK)
    before = sum(1 for age in ages if WEEK < age <= 2 * WEEK)
    if before < LEAST_BEFORE or lately * 2 > before or lately >= asked:
        return None
    return Drift(lately, before)
