"""What was done to a swing, one thing after the other, so that each can be taken back."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import transaction
from django.db.models import Max, QuerySet

from lessons.clips.models import Clip, PlacedPosition, Still, Swing, SwingChange

KEPT = 50  # changes of one swing that can be taken back
FIELDS = ("begin_us", "top_us", "strike_us", "finish_us", "frame_us", "is_practice", "is_corrected")


@contextmanager
def remembered(swing: Swing, words: str) -> Iterator[None]:
    """Keep what the swing was like before the block, if the block changes it; in a transaction."""
    before = _as_it_is(swing)
    newest = swing.clip.stills.aggregate(newest=Max("pk", default=0))
    yield
    if _as_it_is(swing) == before:
        return
    SwingChange.objects.create(swing=swing, words=words, before={**before, **newest})
    old = swing.changes.order_by("-pk").values_list("pk", flat=True)[KEPT:]
    swing.changes.filter(pk__in=list(old)).delete()


def undo(swing: Swing) -> str:
    """Take the latest change back; returns what it was in words, '' where there is none.

    A still that the change pulled goes, unless somebody has drawn on it or used it since.
    """
    with transaction.atomic():
        Clip.objects.select_for_update().get(pk=swing.clip_id)
        change = swing.changes.last()
        if change is None:
            return ""
        Swing.objects.filter(pk=swing.pk).update(**change.before["moments"])
        swing.refresh_from_db()
        swing.placed.all().delete()
        PlacedPosition.objects.bulk_create(
            PlacedPosition(swing=swing, position=position, time_us=time_us)
            for position, time_us in change.before["placed"].items()
        )
        _restore_stills(swing, change.before)
        change.delete()
    return change.words


def _restore_stills(swing: Swing, before: dict[str, Any]) -> None:
    for still in swing.stills.current().exclude(pk__in=before["stills"]):
        is_new = still.pk > before["newest"]
        if is_new or still.pk in before["retired"]:
            still.retire()
        else:  # it was the clip's alone
            Still.objects.filter(pk=still.pk).update(swing=None)
    for still in Still.objects.filter(pk__in=before["stills"], is_retired=True):
        still.bring_back()


def _as_it_is(swing: Swing) -> dict[str, Any]:
    """All that a change may change, fit for JSON."""
    return {
        "moments": Swing.objects.values(*FIELDS).get(pk=swing.pk),
        "placed": dict(swing.placed.values_list("position", "time_us")),
        "stills": _keys(swing.stills.current()),
        "retired": _keys(swing.stills.filter(is_retired=True)),
    }


def _keys(stills: QuerySet[Still]) -> list[int]:
    return list(stills.order_by("pk").values_list("pk", flat=True))
