"""A drill improved in the library, and what was given of it before: renewed only when asked.

What was given keeps its words as on that day. Here a coach sees who still reads older words, and
lets chosen ones have the new. The dose and the note were made for one student and stay.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q
from django.utils import timezone

from lessons.drills.models import Assignment, Drill

LABELS = {
    "name": "name",
    "purpose": "what it is for",
    "set_up": "set-up",
    "steps": "steps",
    "feel": "how it should feel",
    "works_when": "how to know it works",
    "slip": "common slip",
    "equipment": "equipment",
    "caution": "caution",
    "clip": "clip",
}


@dataclass(frozen=True)
class Older:
    """A given drill whose words are not those of the library any more, and which of them."""

    given: Assignment
    changed: list[str]


def changed_in(given: Assignment, drill: Drill) -> list[str]:
    """What differs between a given drill and the library's, by its label."""
    fields = [name if name != "clip" else "clip_id" for name in Assignment.TEXT_FIELDS]
    pairs = zip(Assignment.TEXT_FIELDS, fields, strict=True)
    return [LABELS[name] for name, key in pairs if getattr(given, key) != getattr(drill, key)]


def older_given(drill: Drill) -> list[Older]:
    """Who still practises older words of a drill: until yesterday's next visits, newest first."""
    today = timezone.localdate()
    open_still = Q(lesson__next_visit__isnull=True) | Q(lesson__next_visit__gte=today)
    given = drill.assignments.holding().filter(open_still).select_related("lesson__student")
    found = [Older(one, changed_in(one, drill)) for one in given.order_by("-lesson__date", "-pk")]
    return [older for older in found if older.changed]


def renew_given(drill: Drill, given: Iterable[Assignment]) -> int:
    """Let given drills have the library's words and clip. How many were changed."""
    chosen = [one.pk for one in given]
    values = {name: getattr(drill, name) for name in Assignment.TEXT_FIELDS}
    return drill.assignments.holding().filter(pk__in=chosen).update(**values)
