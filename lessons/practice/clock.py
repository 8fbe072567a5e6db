"""On which day a time of day has just come. Plain values; knows no rows."""

from __future__ import annotations

import datetime

# A reminder that comes later than this is worse than none
LATE = datetime.timedelta(hours=1)


def come_on(
    now: datetime.datetime, zone: datetime.tzinfo, at: datetime.time
) -> datetime.date | None:
    """The day of the zone's calendar on which `at` came at most LATE ago; None if on none.

    A time that the clocks jump over comes when it would have come without the change, so an hour
    later by the new clock; one that they pass twice comes at the first.
    """
    today = now.astimezone(zone).date()
    for day in (today, today - datetime.timedelta(days=1)):
        # As UTC, for two moments of one zone are compared by their clocks
        came = datetime.datetime.combine(day, at, tzinfo=zone).astimezone(datetime.UTC)
        if came <= now < came + LATE:
            return day
    return None
