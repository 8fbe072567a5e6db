"""Until when quiet hours hold; expected values read off the tz database's rules by hand.

Europe/Dublin: clocks go forward on 29 March 2026 at 01:00 UTC, back on 25 October 2026 at 01:00
UTC (EU directive 2000/84/EC: last Sundays of March and October).
"""

from __future__ import annotations

import datetime
import zoneinfo

import pytest

from portal.notices.quiet import quiet_until

DUBLIN = zoneinfo.ZoneInfo("Europe/Dublin")
UTC = datetime.UTC


def at(text: str) -> datetime.datetime:
    return datetime.datetime.fromisoformat(text).replace(tzinfo=UTC)


def clock(text: str) -> datetime.time:
    return datetime.time.fromisoformat(text)


@pytest.mark.parametrize(
    ("now", "begin", "end", "expected"),
    [
        # Winter: the clock shows UTC
        ("2026-01-10T22:00", "21:00", "07:00", "2026-01-11T07:00"),
        ("2026-01-11T03:00", "21:00", "07:00", "2026-01-11T07:00"),
        ("2026-01-11T07:00", "21:00", "07:00", None),
        ("2026-01-11T20:59", "21:00", "07:00", None),
        ("2026-01-11T21:00", "21:00", "07:00", "2026-01-12T07:00"),
        ("2026-01-11T13:00", "12:00", "14:00", "2026-01-11T14:00"),
        ("2026-01-11T15:00", "12:00", "14:00", None),
        # Summer: an hour ahead
        ("2026-07-10T20:30", "21:00", "07:00", "2026-07-11T06:00"),
        ("2026-07-10T19:30", "21:00", "07:00", None),
        # The night of the change: one hour shorter, one hour longer
        ("2026-03-28T22:00", "21:00", "07:00", "2026-03-29T06:00"),
        ("2026-10-24T21:00", "21:00", "07:00", "2026-10-25T07:00"),
        # An end that the clock skips: 01:30 does not come on 29 March
        ("2026-03-28T22:00", "21:00", "01:30", "2026-03-29T01:30"),
        # An end that comes twice: the first, and in the second turn the second
        ("2026-10-24T23:00", "21:00", "01:30", "2026-10-25T00:30"),
        ("2026-10-25T01:10", "21:00", "01:30", "2026-10-25T01:30"),
        # Equal hours are no quiet
        ("2026-01-11T07:00", "07:00", "07:00", None),
    ],
)
def test_it_ends(now: str, begin: str, end: str, expected: str | None):
    found = quiet_until(at(now), DUBLIN, clock(begin), clock(end))
    assert found == (at(expected) if expected else None)
