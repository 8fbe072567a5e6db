"""Weeks of practice, counted from the lesson and not from Monday. Pure."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

WEEK_DAYS = 7


@dataclass(frozen=True)
class Week:
    """Seven days of practice, both ends included; the first also holds the lesson's own day."""

    first: datetime.date
    last: datetime.date

    def __contains__(self, day: datetime.date) -> bool:
        return self.first <= day <= self.last


def week_of(lesson_day: datetime.date, day: datetime.date) -> Week:
    """The week of practice that holds a day, counted from the lesson and not from Monday.

    A lesson on a Friday then leaves a full week for 'five days a week'. Lesson on Friday 2 May:
    the first week is 2 (the lesson's day, a gift) and 3 to 9 May, the second 10 to 16 May.
    """
    number = max(0, (day - lesson_day).days - 1) // 7
    first = lesson_day + datetime.timedelta(7 * number + 1)
    last = first + datetime.timedelta(6)
    return Week(lesson_day if number == 0 else first, last)
