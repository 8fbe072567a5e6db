"""Which stills' marks can be laid over another still."""

from __future__ import annotations

from lessons.clips.models import Still

MOST = 30


def marked_stills(still: Still) -> list[Still]:
    """The same player's stills that have marks, those of the same clip first, then the newest."""
    clip = still.clip
    if clip.lesson is None:
        found = Still.objects.filter(clip=clip)
    else:
        found = Still.objects.filter(
            clip__lesson__student=clip.lesson.student_id, clip__removed_at__isnull=True
        )
    found = found.current().ready().exclude(pk=still.pk).exclude(mark_set__isnull=True)
    found = found.exclude(mark_set__marks=[]).select_related("mark_set", "clip__lesson")
    newest = found.order_by("-clip__lesson__date", "-clip__created_at", "time_us")[: 3 * MOST]
    return sorted(newest, key=lambda other: other.clip_id != clip.pk)[:MOST]
