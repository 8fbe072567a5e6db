"""What the board reads of practice: standing logs and the drills they are of, as plain values."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable
from typing import NamedTuple

from django.db.models import Q

from lessons.practice.models import Log
from lessons.practice.plan import Dose
from lessons.practice.share import AS_SET_PERCENT


class Entry(NamedTuple):
    """One standing log; thousands are read for one board, so it is no model."""

    assignment_id: int
    day: datetime.date
    percent: int
    minutes: int | None
    felt: int | None
    hurt: bool
    noted: bool


def entries_of(lessons: Collection[int]) -> dict[int, list[Entry]]:
    """The standing logs of these lessons, by lesson. One query."""
    found: dict[int, list[Entry]] = defaultdict(list)
    rows = (
        Log.objects.standing()
        .filter(assignment__lesson__in=lessons)
        .annotate(noted=Q(note__gt=""))
        .order_by()
    )
    for lesson, *values in rows.values_list("assignment__lesson", *Entry._fields):
        found[lesson].append(Entry(*values))
    return found


def minutes_practised(doses: Iterable[Dose], entries: Iterable[Entry]) -> int:
    """Minutes: those a log says, else the part of the dose that was done.

    How long a dose takes that is set in repetitions is an estimate: lessons.practice.plan.Dose.
    """
    seconds_of = {dose.key: dose.seconds for dose in doses}
    seconds = 0.0
    for entry in entries:
        if entry.minutes is not None:
            seconds += entry.minutes * 60
        else:
            seconds += seconds_of.get(entry.assignment_id, 0) * entry.percent / AS_SET_PERCENT
    return round(seconds / 60)
