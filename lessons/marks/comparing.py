"""Which stills of a lesson are compared, and where the table is shown."""

from __future__ import annotations

from collections.abc import Sequence

from django.http import HttpRequest

from lessons.clips.models import Still
from lessons.marks.models import MeasureTable
from lessons.marks.service import SIGHT
from lessons.marks.table import Table, table_of
from lessons.visits.models import Lesson, Part

PARTS = {part.value: place for place, part in enumerate(Part)}


def comparable(lesson: Lesson) -> list[Still]:
    """The lesson's stills, from its start to its end."""
    found = Still.objects.current().ready()
    found = found.filter(clip__lesson=lesson, clip__removed_at__isnull=True)
    found = found.select_related(*SIGHT)
    return sorted(
        found, key=lambda s: (PARTS[s.clip.part], s.clip.created_at, s.clip_id, s.time_us)
    )


def compared(lesson: Lesson) -> list[Still]:
    """The chosen ones; before anything is chosen, those on which something is measured."""
    stills = comparable(lesson)
    kept = MeasureTable.objects.filter(lesson=lesson).first()
    if kept:
        chosen = set(kept.stills.values_list("pk", flat=True))
        return [still for still in stills if still.pk in chosen]
    return [still for still in stills if table_of([still]).rows]


def keep_table(lesson: Lesson, stills: Sequence[Still], in_recap: bool) -> MeasureTable:
    kept, _ = MeasureTable.objects.update_or_create(lesson=lesson, defaults={"in_recap": in_recap})
    kept.stills.set(stills)
    return kept


def read_context(request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """The table on the student's page, if the coach put it there and it says something."""
    tables = MeasureTable.objects.visible_to(request.user)
    table: Table | None = None
    if tables.filter(lesson=lesson, in_recap=True).exists():
        table = table_of(compared(lesson))
    return {"table": table}


def link_context(_request: HttpRequest, _lesson: Lesson) -> dict[str, object]:
    """The link to the table needs the lesson alone."""
    return {}
