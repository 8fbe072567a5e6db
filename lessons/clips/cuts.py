"""Which parts of a clip are made ready to step through."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction

from lessons.clips.models import Clip, Cut
from portal.files import local
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
    """Ask for every cut that the clip needs and has not, inside a transaction.

    One that its coach cancelled is not asked for again here.
    """
    there = list(clip.cuts.all())
    for begin, end in spans_of(clip):
        holding = [cut for cut in there if cut.begin_us <= begin and end <= cut.end_us]
        if not any(cut.is_cancelled for cut in holding):
            _want(holding, clip, begin, end)


def cut_around(clip: Clip, time_us: int) -> Cut:
    """The cut that holds a moment: one that is there, or a new one, asked for now."""
    time_us = max(0, min(time_us, clip.duration_us))
    around = round(AROUND_US * clip.slowdown)
    [(begin, end)] = merged([(time_us - around, time_us + around)], clip.duration_us)
    with transaction.atomic():
        # One at a time for a clip, so that two taps are one cut
        Clip.objects.select_for_update().get(pk=clip.pk)
        return _want([cut for cut in clip.cuts.all() if cut.holds(time_us)], clip, begin, end)


def _want(there: list[Cut], clip: Clip, begin_us: int, end_us: int) -> Cut:
    """One of the cuts that are there, a failed one anew where that may help; else a new one."""
    if not there:
        there = [Cut.objects.create(clip=clip, begin_us=begin_us, end_us=end_us)]
        send(there[0])
    best = min(there, key=lambda cut: (cut.is_failed, cut.is_cancelled, not cut.is_ready))
    if best.begin_anew():
        send(best)
    return best


def drop_superseded(cut: Cut) -> None:
    """Delete the cuts that lie inside of a ready one, and their files; inside a transaction.

    A worker that makes one of them loses its lease. A page that plays one takes the bigger cut.
    """
    inside = cut.clip.cuts.filter(begin_us__gte=cut.begin_us, end_us__lte=cut.end_us)
    for smaller in inside.exclude(pk=cut.pk):
        local.delete_on_commit(smaller.study.name or "", smaller.times.name or "")
        smaller.delete()
