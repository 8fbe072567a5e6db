"""What a coach does with clips and stills."""

from __future__ import annotations

from django.db import transaction

from lessons.clips import times
from lessons.clips.intake import receive_clip
from lessons.clips.models import Clip, Cut, Position, Still, Swing, SwingSearch
from lessons.clips.swings import NotPossible, look_again
from portal.work.sending import send

__all__ = [
    "NotPossible",
    "bring_back_clip",
    "prepare_again",
    "pull_again",
    "receive_clip",
    "remove_clip",
    "still_at",
    "take_still",
]

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
            f"The clip lasts {times.words(clip, clip.duration_us)}; there is no frame at "
            f"{times.words(clip, time_us)}."
        )
    if position and position not in Position.values:
        raise NotPossible("Positions run from P1 to P10. Choose one of them.")
    table = times.read(clip)
    begins_us = times.at(table, time_us)
    with transaction.atomic():
        # One at a time for a clip, so that two taps are one still
        Clip.objects.select_for_update().get(pk=clip.pk)
        still, is_new = still_at(clip, begins_us, position, caption.strip()[:LONGEST_CAPTION])
        if is_new:
            send(still)
    return still


def still_at(
    clip: Clip, begins_us: int, position: str, caption: str = "", swing: Swing | None = None
) -> tuple[Still, bool]:
    """The still of the frame that begins then, and whether it is new and to be sent.

    In a transaction that holds the clip. One that was retired comes back; `swing` is the one
    that it is a position of, where that is known.
    """
    same = clip.stills.filter(time_us=begins_us, position=position, caption=caption)
    still = same.filter(removed_at__isnull=True).first()
    if still is None:
        still = same.filter(is_retired=True).exclude(state=Still.State.FAILED).first()
        if still is not None:
            still.bring_back()
    if still is None:
        row = Still(clip=clip, time_us=begins_us, position=position, caption=caption, swing=swing)
        row.save()
        return row, True
    if swing is not None and still.swing_id != swing.pk:
        Still.objects.filter(pk=still.pk).update(swing=swing)
    return still, False


def prepare_again(clip: Clip) -> bool:
    """Send a rejected or cancelled clip to a worker anew; False where that can't help."""
    with transaction.atomic():
        if not clip.begin_anew():
            return False
        send(clip)
    return True


def remove_clip(clip: Clip) -> None:
    """Take a clip off every page and stop what workers do for it; its files stay."""
    with transaction.atomic():
        if not clip.remove():
            return
        if clip.cancel():
            Clip.objects.filter(pk=clip.pk).update(is_stopped=True)
        for work in (*clip.cuts.in_flight(), *SwingSearch.objects.in_flight().filter(clip=clip)):
            work.cancel()


def bring_back_clip(clip: Clip) -> None:
    """Undo `remove_clip`: what it stopped is taken up again."""
    with transaction.atomic():
        clip.refresh_from_db()
        stopped = clip.is_stopped
        if not clip.bring_back():
            return
        if stopped:
            prepare_again(clip)
        if not clip.is_ready:
            return
        for cut in clip.cuts.filter(state=Cut.State.CANCELLED):
            if cut.begin_anew():
                send(cut)
        if SwingSearch.objects.filter(clip=clip, state=SwingSearch.State.CANCELLED).exists():
            look_again(clip)


def pull_again(still: Still) -> bool:
    """Send a failed still to a worker anew; False if it has not failed."""
    with transaction.atomic():
        if not still.try_again():
            return False
        send(still)
    return True
