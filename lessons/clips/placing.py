"""What a coach does with the positions of a swing: confirm them, move them, pull all their stills.

P1, P4, P7 and P10 are the swing's begin, top, strike and finish: placing one moves the other.
"""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone

from lessons.clips import times
from lessons.clips.cuts import want_cuts
from lessons.clips.history import remembered
from lessons.clips.models import Clip, PlacedPosition, Position, Still, Swing
from lessons.clips.positions import positions_of
from lessons.clips.service import still_at
from lessons.clips.swings import NotPossible, longest_frame, own_frame
from portal.work.sending import send

MOMENTS = {"P1": "begin_us", "P4": "top_us", "P7": "strike_us", "P10": "finish_us"}


def place(swing: Swing, position: str, time_us: int) -> Still:
    """A position of the swing is the frame shown at a time; its still is pulled.

    The still of the frame where it was before is retired, unless it is used. Placing it twice at
    the same frame changes nothing.
    """
    if position not in Position.values:
        raise NotPossible("Positions run from P1 to P10. Choose one of them.")
    clip = swing.clip
    table = times.read(clip)
    begins_us = own_frame(clip, table, time_us)
    with transaction.atomic():
        _hold(swing)
        _check_order(swing, position, begins_us, table)
        with remembered(swing, f"{position} at {times.words(clip, begins_us)}"):
            PlacedPosition.objects.update_or_create(
                swing=swing, position=position, defaults={"time_us": begins_us}
            )
            if position in MOMENTS:
                _move_moment(swing, position, begins_us, table)
            still, is_new = _pull(swing, position, begins_us)
        if is_new:
            send(still)
    return still


def pull_all(swing: Swing) -> list[Still]:
    """A still of every position of the swing, guesses too, from one pass over the original."""
    table = times.read(swing.clip)
    with transaction.atomic():
        _hold(swing)
        with remembered(swing, "all positions"):
            pulled = [
                _pull(swing, found.position, times.at(table, found.time_us))
                for found in positions_of(swing)
            ]
        new = [still for still, is_new in pulled if is_new]
        if new:
            # One message: the task takes all that wait for the clip
            Still.objects.filter(pk__in=[still.pk for still in new]).update(sent_at=timezone.now())
            send(new[0])
    return [still for still, _ in pulled]


def _hold(swing: Swing) -> None:
    """Let nobody else change the clip's swings until the transaction ends."""
    Clip.objects.select_for_update().get(pk=swing.clip_id)
    try:
        swing.refresh_from_db()
    except Swing.DoesNotExist:
        raise NotPossible(
            "The swings of this clip were found anew meanwhile. These are they; set it again."
        ) from None


def _pull(swing: Swing, position: str, begins_us: int) -> tuple[Still, bool]:
    """The still of a position, in the place of the one before."""
    still, is_new = still_at(swing.clip, begins_us, position, swing=swing)
    for other in swing.stills.current().filter(position=position, caption="").exclude(pk=still.pk):
        other.retire()
    return still, is_new


def _move_moment(swing: Swing, position: str, begins_us: int, table: Sequence[int]) -> None:
    """Let the swing's own moment be in the placed frame; a strike heard inside it stays exact."""
    field = MOMENTS[position]
    before = getattr(swing, field)
    if before is not None and times.at(table, before) == begins_us:
        return
    setattr(swing, field, begins_us)
    swing.is_corrected = True
    if position == "P7":
        swing.is_practice = False
    swing.frame_us = longest_frame(table, swing.begin_us, swing.finish_us)
    swing.save()
    want_cuts(swing.clip)


def _check_order(swing: Swing, position: str, begins_us: int, table: Sequence[int]) -> None:
    """It comes after what is known to come before it, and before what comes after."""
    known = {
        here.position: times.at(table, here.time_us)
        for here in positions_of(swing)
        if not here.is_guess
    }
    order = Position.values
    place = order.index(position)
    before = [name for name in order[:place] if name in known]
    after = [name for name in order[place + 1 :] if name in known]
    if before and begins_us <= known[before[-1]]:
        raise NotPossible(
            f"{position} comes after {before[-1]}. Step to a later frame, or move "
            f"{before[-1]} first."
        )
    if after and begins_us >= known[after[0]]:
        raise NotPossible(
            f"{position} comes before {after[0]}. Step to an earlier frame, or move "
            f"{after[0]} first."
        )
