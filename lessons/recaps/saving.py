"""Keeping what the coach has typed, and never over what was typed elsewhere."""

from __future__ import annotations

import uuid

from django.db import transaction
from django.db.models import Case, F, Q, When
from django.utils import timezone

from lessons.drills.models import Assignment, Drill
from lessons.recaps.content import Content, content_of
from lessons.recaps.models import Finding, Recap, RecapStill


class ChangedElsewhereError(Exception):
    """Another page has saved since this one was read: somebody must choose."""


def save_recap(recap: Recap, content: Content, *, base: int, page: uuid.UUID) -> Recap:
    """Keep the content; returns the recap as it then is, with its new version.

    `base` is the version that the page was made from, `page` the open page that saves. Raises
    `ChangedElsewhereError` if another page has saved since. Two cases are none of that: the same
    content is stored already (a saving sent twice), and all savings since `base` were this page's
    own (its answer got lost on the way).
    """
    with transaction.atomic():
        recap = Recap.objects.select_related("lesson__student").get(pk=recap.pk)
        if content_of(recap) == content:
            return recap
        now = timezone.now()
        mine = Q(version=base) | Q(saved_by=page, saved_since__lte=base, version__gt=base)
        kept = Recap.objects.filter(mine, pk=recap.pk).update(
            main_point=content.main_point,
            body=content.body,
            version=F("version") + 1,
            saved_since=Case(When(saved_by=page, then=F("saved_since")), default=F("version")),
            saved_by=page,
            changed_at=now,
            edited_at=now if recap.lesson.is_posted else recap.edited_at,
        )
        if not kept:
            raise ChangedElsewhereError
        keep_findings(recap, content)
        keep_stills(recap, content)
        keep_drills(recap, content)
        recap.refresh_from_db()
    return recap


def keep_findings(recap: Recap, content: Content) -> None:
    keys = [row["key"] for row in content.findings]
    recap.findings.exclude(key__in=keys).delete()
    for order, row in enumerate(content.findings):
        values = {name: row[name] for name in ("what", "why", "ball", "standing")}
        Finding.objects.update_or_create(
            recap=recap,
            key=row["key"],
            defaults={**values, "came_from_id": row["came_from"], "order": order},
        )


def keep_stills(recap: Recap, content: Content) -> None:
    taken_out = recap.stills.current().exclude(still__in=[row["still"] for row in content.stills])
    recap.stills.filter(pk__in=list(taken_out.values_list("pk", flat=True))).delete()
    for order, row in enumerate(content.stills):
        RecapStill.objects.update_or_create(
            recap=recap,
            still_id=row["still"],
            defaults={"caption": row["caption"], "order": order},
        )


def keep_drills(recap: Recap, content: Content) -> None:
    """Give, change and take back; one taken back keeps its row: practice may hang on it."""
    given = {str(a.key): a for a in recap.lesson.assignments.all()}
    keys = [row["key"] for row in content.drills]
    gone = recap.lesson.assignments.holding().exclude(key__in=keys)
    gone.update(removed_at=timezone.now())
    for order, row in enumerate(content.drills):
        assignment = given.get(row["key"])
        if assignment is None:
            drill = Drill.objects.get(pk=row["drill"])
            assignment = Assignment.of(drill, lesson=recap.lesson, key=row["key"])
        for name in (*Assignment.DOSE_FIELDS, "note"):
            setattr(assignment, name, row[name])
        assignment.order = order
        assignment.removed_at = None
        assignment.save()
