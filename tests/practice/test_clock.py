"""On which day a time of day has just come, across changes of the clocks.

The changes are the IANA time zone database's: Ireland forward on 30 March 2025 at 01:00 and back
on 26 October at 02:00; Lord Howe Island by half an hour on 5 October; Kathmandu is at +05:45.
"""

from __future__ import annotations

import datetime
import zoneinfo

import pytest

from lessons.practice.clock import come_on

# now in UTC, zone, the time chosen, the day it came on
TABLE = [
    ("2025-05-09 17:00", "Europe/Dublin", "18:00", "2025-05-09"),
    ("2025-05-09 16:59", "Europe/Dublin", "18:00", None),
    ("2025-05-09 17:59", "Europe/Dublin", "18:00", "2025-05-09"),
    ("2025-05-09 18:00", "Europe/Dublin", "18:00", None),
    # The same moment on other clocks
    ("2025-05-09 12:15", "Asia/Kathmandu", "18:00", "2025-05-09"),
    ("2025-05-09 06:00", "Pacific/Auckland", "18:00", "2025-05-09"),
    ("2025-05-10 04:00", "Pacific/Honolulu", "18:00", "2025-05-09"),
    ("2025-05-09 17:00", "Asia/Tokyo", "18:00", None),
    # Up to an hour late, over midnight: yesterday's turn
    ("2025-05-09 23:10", "Europe/Dublin", "23:50", "2025-05-09"),
    # Winter and summer time
    ("2025-01-09 18:00", "Europe/Dublin", "18:00", "2025-01-09"),
    ("2025-01-09 17:00", "Europe/Dublin", "18:00", None),
    # Jumped over: an hour later by the new clock
    ("2025-03-30 01:29", "Europe/Dublin", "01:30", None),
    ("2025-03-30 01:30", "Europe/Dublin", "01:30", "2025-03-30"),
    # Passed twice: at the first, and not within an hour of the second
    ("2025-10-26 00:30", "Europe/Dublin", "01:30", "2025-10-26"),
    ("2025-10-26 01:30", "Europe/Dublin", "01:30", None),
    # A change of half an hour
    ("2025-10-05 06:59", "Australia/Lord_Howe", "18:00", None),
    ("2025-10-05 07:00", "Australia/Lord_Howe", "18:00", "2025-10-05"),
    ("2025-10-04 07:30", "Australia/Lord_Howe", "18:00", "2025-10-04"),
]


@pytest.mark.parametrize(("now", "zone", "at", "day"), TABLE)
def test_it_comes_once_a_day(now: str, zone: str, at: str, day: str | None):
    found = come_on(
        datetime.datetime.fromisoformat(now).replace(tzinfo=datetime.UTC),
        zoneinfo.ZoneInfo(zone),
        datetime.time.fromisoformat(at),
    )
    assert found == (datetime.date.fromisoformat(day) if day else None)
