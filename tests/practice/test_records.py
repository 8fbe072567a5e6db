"""From which day until which a drill is asked, read off rows: zones, late posting, moved dates.

What the days then mean for plan and share is in test_plan.py and test_share.py. Changes of the
clocks are the IANA time zone database's, for 2025: Ireland forward on 30 March at 01:00 UTC and
back on 26 October at 01:00 UTC; the United States forward on 9 March at 02:00 of each zone.
"""

from __future__ import annotations

import datetime
import zoneinfo

import pytest

from lessons.drills.models import Assignment
from lessons.practice.records import given_of
from lessons.practice.share import days_due
from lessons.visits.models import Lesson


def moment(text: str | None) -> datetime.datetime | None:
    """'2025-05-01 18:00' of UTC."""
    return datetime.datetime.fromisoformat(f"{text}+00:00") if text else None


def day(text: str | None) -> datetime.date | None:
    return datetime.date.fromisoformat(text) if text else None


# What is said; lesson's day, posted at, drill added at, taken away at, next visit, zone; the day it
# is given on, the day until which it is asked
TABLE = {
    "posted on the lesson's day": (
        *("2025-05-01", "2025-05-01 18:00", "2025-05-01 17:00", None, "2025-05-29"),
        *("Europe/Dublin", "2025-05-01", "2025-05-29"),
    ),
    "posted five days late": (
        *("2025-05-01", "2025-05-06 09:00", "2025-05-01 17:00", None, "2025-05-29"),
        *("Europe/Dublin", "2025-05-06", "2025-05-29"),
    ),
    "posted late in the evening, which is the next day in Auckland": (
        *("2025-05-01", "2025-05-06 13:00", "2025-05-01 17:00", None, "2025-05-29"),
        *("Pacific/Auckland", "2025-05-07", "2025-05-29"),
    ),
    "posted early in the morning, which is the day before in Honolulu": (
        *("2025-05-01", "2025-05-06 09:00", "2025-05-01 17:00", None, "2025-05-29"),
        *("Pacific/Honolulu", "2025-05-05", "2025-05-29"),
    ),
    "never before the lesson, wherever the student is": (
        *("2025-05-02", "2025-05-02 01:00", "2025-05-02 00:30", None, "2025-05-29"),
        *("Pacific/Honolulu", "2025-05-02", "2025-05-29"),
    ),
    "a drill added a week later": (
        *("2025-05-01", "2025-05-01 18:00", "2025-05-08 10:00", None, "2025-05-29"),
        *("Europe/Dublin", "2025-05-08", "2025-05-29"),
    ),
    "the next visit moved closer": (
        *("2025-05-01", "2025-05-01 18:00", "2025-05-01 17:00", None, "2025-05-15"),
        *("Europe/Dublin", "2025-05-01", "2025-05-15"),
    ),
    "the next visit taken off": (
        *("2025-05-01", "2025-05-01 18:00", "2025-05-01 17:00", None, None),
        *("Europe/Dublin", "2025-05-01", None),
    ),
    "taken away half-way": (
        *("2025-05-01", "2025-05-01 18:00", "2025-05-01 17:00", "2025-05-12 12:00", "2025-05-29"),
        *("Europe/Dublin", "2025-05-01", "2025-05-12"),
    ),
    "taken away half-way, without a next visit": (
        *("2025-05-01", "2025-05-01 18:00", "2025-05-01 17:00", "2025-05-12 12:00", None),
        *("Europe/Dublin", "2025-05-01", "2025-05-12"),
    ),
    "taken away after the next visit": (
        *("2025-05-01", "2025-05-01 18:00", "2025-05-01 17:00", "2025-06-02 12:00", "2025-05-29"),
        *("Europe/Dublin", "2025-05-01", "2025-05-29"),
    ),
    "taken away at half past eleven of the last summer evening": (
        *("2025-10-01", "2025-10-01 18:00", "2025-10-01 17:00", "2025-10-25 22:30", "2025-11-12"),
        *("Europe/Dublin", "2025-10-01", "2025-10-25"),
    ),
    "taken away half an hour after that midnight": (
        *("2025-10-01", "2025-10-01 18:00", "2025-10-01 17:00", "2025-10-25 23:30", "2025-11-12"),
        *("Europe/Dublin", "2025-10-01", "2025-10-26"),
    ),
    "posted an hour before midnight of a day of 23 hours": (
        *("2025-03-05", "2025-03-10 05:00", "2025-03-05 17:00", None, "2025-04-02"),
        *("America/Los_Angeles", "2025-03-09", "2025-04-02"),
    ),
}


@pytest.mark.parametrize("row", TABLE.values(), ids=TABLE.keys())
def test_a_drill_is_asked_from_the_day_it_could_be_read_until_its_end(row: tuple):
    date, posted, added, removed, visit, zone, given_on, until = row
    lesson = Lesson(date=day(date), posted_at=moment(posted), next_visit=day(visit))
    assignment = Assignment(
        pk=7, days_a_week=3, created_at=moment(added), removed_at=moment(removed)
    )
    given = given_of(assignment, lesson, zoneinfo.ZoneInfo(zone))
    assert (given.given_on, given.until) == (day(given_on), day(until))
    assert (given.key, given.days_a_week) == (7, 3)


@pytest.mark.parametrize(
    ("first", "today", "over"),
    [("2025-03-27", "2025-04-02", 5), ("2025-10-23", "2025-10-29", 5)],
    ids=["a day of 23 hours", "a day of 25 hours"],
)
def test_days_are_counted_off_the_calendar_and_not_in_hours(first: str, today: str, over: int):
    start, now = datetime.date.fromisoformat(first), datetime.date.fromisoformat(today)
    lesson = Lesson(date=start, posted_at=moment(f"{first} 12:00"))
    assignment = Assignment(pk=7, days_a_week=7, created_at=moment(f"{first} 12:00"))
    given = given_of(assignment, lesson, zoneinfo.ZoneInfo("Europe/Dublin"))
    assert days_due(given, start, now) == over
