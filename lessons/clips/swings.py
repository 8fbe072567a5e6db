"""What becomes of the swings in a clip: found, added, corrected, kept."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Protocol

from django.db import transaction

from lessons.clips import times
from lessons.clips.cuts import want_cuts
from lessons.clips.models import Clip, Swing, SwingSearch
from portal.work.sending import send

POINTS = ("begin", "top", "strike", "finish")
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

    What the coach added, corrected, kept or removed stays, and nothing found lies over it.
    """
    table = times.read(clip)
    Clip.objects.select_for_update().get(pk=clip.pk)
    clip.swings.untouched().delete()
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
            frame_us=_longest_frame(table, one.begin_us, one.finish_us),
            by=one.by,
            is_practice=one.is_practice,
            confidence=one.confidence,
        )
    want_cuts(clip)


def add_swing(clip: Clip, strike_us: int) -> Swing:
    """A swing by hand with its strike at the shown frame; the coach sets the rest."""
    _check_ready(clip)
    table = times.read(clip)
    strike = _frame(clip, table, strike_us)
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
                "frame_us": _longest_frame(table, begin, finish),
            },
        )
        want_cuts(clip)
    return swing


def set_point(swing: Swing, point: str, time_us: int) -> Swing:
    """Move a swing's begin, top, strike or finish to the frame shown at a time."""
    if point not in POINTS:
        raise NotPossible("A swing has a begin, a top, a strike and a finish. Choose one of them.")
    clip = swing.clip
    table = times.read(clip)
    with transaction.atomic():
        Clip.objects.select_for_update().get(pk=clip.pk)
        swing.refresh_from_db()
        before = getattr(swing, f"{point}_us")
        setattr(swing, f"{point}_us", _frame(clip, table, time_us))
        _check_order(swing, point)
        if getattr(swing, f"{point}_us") == before:
            return swing
        swing.is_corrected = True
        if point == "strike":
            swing.is_practice = False
        swing.frame_us = _longest_frame(table, swing.begin_us, swing.finish_us)
        swing.save()
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


def _frame(clip: Clip, table: Sequence[int], time_us: int) -> int:
    """The own time of the frame shown at a time."""
    if not 0 <= time_us <= clip.duration_us:
        raise NotPossible("This moment lies outside of the clip. Step to a frame of it.")
    return times.at(table, time_us)


def _check_order(swing: Swing, point: str) -> None:
    """Begin, top, strike and finish follow each other."""
    there = [(name, at) for name in POINTS if (at := getattr(swing, f"{name}_us")) is not None]
    order = [name for name, _ in there]
    place = order.index(point)
    if place and there[place - 1][1] >= there[place][1]:
        raise NotPossible(
            f"The {point} comes after the {order[place - 1]}. Step to a later frame, "
            f"or move the {order[place - 1]} first."
        )
    if place + 1 < len(there) and there[place][1] >= there[place + 1][1]:
        raise NotPossible(
            f"The {point} comes before the {order[place + 1]}. Step to an earlier frame, "
            f"or move the {order[place + 1]} first."
        )


def _longest_frame(table: Sequence[int], begin_us: int, finish_us: int) -> int:
    """The longest time between two frames from begin to finish."""
    first, last = times.shown_at(table, begin_us), times.shown_at(table, finish_us)
    part = table[first : last + 1]
    return max((after - before for before, after in pairwise(part)), default=0)
