"""Until when a moment's quiet lasts. Plain values; knows no rows."""

from __future__ import annotations

import datetime
import zoneinfo


def is_quiet(clock: datetime.time, begin: datetime.time, end: datetime.time) -> bool:
    """Whether a time of day lies in hours that may pass midnight; equal ones mean no quiet."""
    return clock >= begin or clock < end if begin > end else begin <= clock < end


def quiet_until(
    now: datetime.datetime,
    zone: zoneinfo.ZoneInfo,
    begin: datetime.time,
    end: datetime.time,
) -> datetime.datetime | None:
    """The moment (UTC) at which the quiet that holds at `now` ends; None if none holds.

    Hours are read off a clock of the zone and may pass midnight; equal ones mean no quiet. When
    clocks go forward over the end, it is taken as the same moment before the change; when they go
    back over it, the first end that is still to come.
    """
    local = now.astimezone(zone)
    clock = local.time()
    if not is_quiet(clock, begin, end):
        return None
    day = local.date()
    if begin > end and clock >= begin:
        day += datetime.timedelta(days=1)
    for fold in (0, 1):
        ends = datetime.datetime.combine(day, end, tzinfo=zone).replace(fold=fold)
        ends = ends.astimezone(datetime.UTC)
        if ends > now:
            return ends
    return None
