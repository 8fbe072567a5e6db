"""What a coach does with clips and stills."""

from __future__ import annotations

from django.db import transaction

from lessons.clips import times
from lessons.clips.intake import receive_clip
from lessons.clips.models import Clip, Position, Still
from lessons.clips.swings import NotPossible
from portal.work.sending import send

__all__ = ["NotPossible", "prepare_again", "pull_again", "receive_clip", "take_still"]

LONGEST_CAPTION = Still._meta.get_field("caption").max_length


def take_still(clip: Clip, time_us: int, position: str = "", caption: str = "") -> Still:
    """Ask for the frame shown at a time, at a position or with a caption; a worker pulls it.

    `time_us` is in microseconds of the clip's clock; the still keeps the time at which
    its frame begins. Asking twice for the same gives the same still.
    """
    if not clip.is_ready:
        raise NotPossible("This clip is not ready yet. Take the still when it is.")
    if not 0 <= time_us <= clip.duration_us:
        raise NotPossible(
            f"The clip lasts {clip.duration_us / 1000:.0f} ms; there is no frame at "
            f"{time_us / 1000:.0f} ms."
        )
    if position and position not in Position.values:
        raise NotPossible("Positions run from P1 to P10. Choose one of them.")
    table = times.read(clip)
    begins_us = times.at(table, time_us)
    with transaction.atomic():
        # One at a time for a clip, so that two taps are one still
        Clip.objects.select_for_update().get(pk=clip.pk)
        still, is_new = Still.objects.current().get_or_create(
            clip=clip,
            time_us=begins_us,
            position=position,
            caption=caption.strip()[:LONGEST_CAPTION],
        )
        if is_new:
            send(still)
    return still


def prepare_again(clip: Clip) -> bool:
    """Send a rejected or cancelled clip to a worker anew; False where that can't help."""
    with transaction.atomic():
        if not clip.try_again():
            return False
        send(clip)
    return True


def pull_again(still: Still) -> bool:
    """Send a failed still to a worker anew; False if it has not failed."""
    with transaction.atomic():
        if not still.try_again():
            return False
        send(still)
    return True
