"""What becomes of the swings in a clip: found, added, kept."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Protocol

from django.db import transaction

from lessons.clips import times
from lessons.clips.cuts import want_cuts
from lessons.clips.models import Clip, Swing, SwingSearch
from lessons.clips.models.used import is_pointed_at
from portal.work.sending import send

# What a swing by hand spans around its strike until the coach says better, in real time
BEFORE_STRIKE_US, AFTER_STRIKE_US = 1_200_000, 900_000


class NotPossible(Exception):
    """It can't be done, with a sentence for the person that says why and what to do."""


class Found(Protocol):
    """A swing as media_tools finds it, in microseconds of the clip's clock."""

    begin_us: int
    top_us: int | None
    strike_us: int | None
    finish_us: int
    by: str
    is_practice: bool
    confidence: float


def look_for_swings(clip: Clip) -> None:
    """Send the clip's search to a worker, inside a transaction; once a clip."""
    search, is_new = SwingSearch.objects.get_or_create(clip=clip)
    if is_new:
        send(search)


def look_again(clip: Clip) -> None:
    """Search anew, also where a search is under way: what it goes by may have changed."""
    with transaction.atomic():
        search, _ = SwingSearch.objects.get_or_create(clip=clip)
        search.look_again()
        send(search)


def state_rate(clip: Clip) -> None:
    """Keep the rate at which a clip was filmed; where it is another, look for swings by it."""
    before = Clip.objects.values_list("filmed_hz", flat=True).get(pk=clip.pk)
    clip.save(update_fields=["filmed_hz"])
    if clip.filmed_hz != before:
        look_again(clip)


def take_found(clip: Clip, found: Iterable[Found]) -> None:
    """Put found swings in the place of those found before, inside a transaction.

    What the coach added, corrected, kept or removed stays, and what a position, a still or
    anything else hangs on; nothing found lies over it.
    """
    table = times.read(clip)
    Clip.objects.select_for_update().get(pk=clip.pk)
    for swing in clip.swings.untouched():
        if not is_pointed_at(swing):
            swing.delete()
    mine = list(clip.swings.values_list("begin_us", "finish_us"))
    for one in found:
        if any(one.begin_us < finish and begin < one.finish_us for begin, finish in mine):
            continue
        Swing.objects.create(
            clip=clip,
            begin_us=max(0, one.begin_us),
            top_us=one.top_us,
            strike_us=one.strike_us,
            finish_us=one.finish_us,
            frame_us=longest_frame(table, one.begin_us, one.finish_us),
            by=one.by,
            is_practice=one.is_practice,
            confidence=one.confidence,
        )
    want_cuts(clip)


def add_swing(clip: Clip, strike_us: int) -> Swing:
    """A swing by hand with its strike at the shown frame; the coach sets the rest."""
    _check_ready(clip)
    table = times.read(clip)
    strike = own_frame(clip, table, strike_us)
    begin = times.at(table, strike - round(BEFORE_STRIKE_US * clip.slowdown))
    finish = times.at(table, strike + round(AFTER_STRIKE_US * clip.slowdown))
    if finish <= begin:
        raise NotPossible("This clip has a single frame; there is no swing in it.")
    with transaction.atomic():
        Clip.objects.select_for_update().get(pk=clip.pk)
        swing, _ = Swing.objects.current().get_or_create(
            clip=clip,
            by=Swing.By.HAND,
            strike_us=strike,
            defaults={
                "begin_us": begin,
                "finish_us": finish,
                "frame_us": longest_frame(table, begin, finish),
            },
        )
        want_cuts(clip)
    return swing


def keep_swing(swing: Swing, *, keep: bool) -> None:
    """Mark the one swing of a clip that is kept, or none."""
    with transaction.atomic():
        Clip.objects.select_for_update().get(pk=swing.clip_id)
        swing.clip.swings.filter(is_kept=True).update(is_kept=False)
        if keep:
            Swing.objects.current().filter(pk=swing.pk).update(is_kept=True)


def _check_ready(clip: Clip) -> None:
    if not clip.is_ready:
        raise NotPossible("This clip is not ready yet. Add its swings when it is.")


def own_frame(clip: Clip, table: Sequence[int], time_us: int) -> int:
    """The own time of the frame shown at a time."""
    if not 0 <= time_us <= clip.duration_us:
        raise NotPossible("This moment lies outside of the clip. Step to a frame of it.")
    return times.at(table, time_us)


def longest_frame(table: Sequence[int], begin_us: int, finish_us: int) -> int:
    """The longest time between two frames from begin to finish."""
    first, last = times.shown_at(table, begin_us), times.shown_at(table, finish_us)
    part = table[first : last + 1]
    return max((after - before for before, after in pairwise(part)), default=0)
