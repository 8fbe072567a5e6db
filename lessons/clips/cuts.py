"""Which parts of a clip are made ready to step through."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction

from lessons.clips.models import Clip, Cut
from portal.work.sending import send

WHOLE_UNDER_US = 15_000_000  # a shorter clip is one cut
MARGIN_US = 700_000  # before a swing's begin and after its finish, in real time
AROUND_US = 2_000_000  # before and after a moment that is asked for, in real time


def merged(spans: Iterable[tuple[int, int]], duration_us: int) -> list[tuple[int, int]]:
    """Spans of time (begin, end) kept within 0 and the duration, those that overlap made one."""
    found: list[tuple[int, int]] = []
    for span in sorted(spans):
        begin, end = max(0, span[0]), min(duration_us, span[1])
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((begin, end))
    return found


def spans_of(clip: Clip) -> list[tuple[int, int]]:
    """What is to be stepped through: a short clip whole, of a long one its swings."""
    if clip.duration_us < WHOLE_UNDER_US:
        return [(0, clip.duration_us)]
    margin = round(MARGIN_US * clip.slowdown)
    swings = clip.swings.current().values_list("begin_us", "finish_us")
    return merged(((begin - margin, end + margin) for begin, end in swings), clip.duration_us)


def want_cuts(clip: Clip) -> None:
    """Ask for every cut that the clip needs and has not, inside a transaction."""
    there = list(clip.cuts.exclude(state=Cut.State.FAILED))
    for begin, end in spans_of(clip):
        if not any(cut.begin_us <= begin and end <= cut.end_us for cut in there):
            send(Cut.objects.create(clip=clip, begin_us=begin, end_us=end))


def cut_around(clip: Clip, time_us: int) -> Cut:
    """The cut that holds a moment: one that is there, or a new one, asked for now."""
    time_us = max(0, min(time_us, clip.duration_us))
    with transaction.atomic():
        # One at a time for a clip, so that two taps are one cut
        Clip.objects.select_for_update().get(pk=clip.pk)
        there = [cut for cut in clip.cuts.all() if cut.holds(time_us)]
        there.sort(key=lambda cut: cut.is_failed)
        if not there:
            around = round(AROUND_US * clip.slowdown)
            [(begin, end)] = merged([(time_us - around, time_us + around)], clip.duration_us)
            there = [Cut.objects.create(clip=clip, begin_us=begin, end_us=end)]
            send(there[0])
        elif there[0].try_again():
            send(there[0])
    return there[0]
