"""What a coach does with paths."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction

from lessons.clips.models import Clip, Cut, Position, Still, Swing
from lessons.clips.positions import positions_of
from lessons.clips.service import NotPossible, take_still
from lessons.paths.models import MOST_BOXES, Box, Path
from lessons.paths.scale import ruler_in
from portal.work.sending import send

AROUND_US = 300_000  # before a swing's begin and after its finish, in real time
WITHOUT_SWING_US = 2_000_000  # before and after the box, in real time
NOT_YET = "This part of the clip is not ready to be stepped through yet. Wait until it is."


class ChangedElsewhere(NotPossible):
    """The boxes were changed in another window since the page was shown."""

    def __init__(self) -> None:
        super().__init__(
            "This path was changed in another window meanwhile, so nothing was changed here. "
            "Look at it as it is now."
        )


def begin_path(clip: Clip, box: Box, what: str, name: str = "", still: Still | None = None) -> Path:
    """Have a patch followed through the swing in which it was boxed.

    `box` is in the pixels of the clip's cuts, its time on the clip's clock; see `Path`. The trace
    is drawn on `still`, else on the swing's P1, or without a swing on a still of the box's frame.
    """
    time_us = int(box["time_us"])
    cut = cut_at(clip, time_us)
    if cut is None:
        raise NotPossible(NOT_YET)
    swing = swing_at(clip, time_us)
    begin_us, end_us = span_of(clip, swing, time_us)
    still = still or _still_for(clip, swing, time_us)
    with transaction.atomic():
        path = Path.objects.create(
            clip=clip,
            swing=swing,
            still=still,
            what=what,
            name=name,
            begin_us=max(begin_us, cut.begin_us),
            end_us=min(end_us, cut.end_us),
            boxes=[box],
        )
        send(path)
    return path


def correct_path(path: Path, boxes: Sequence[Box], version: int) -> None:
    """Set a path right at one or more frames, and have it followed anew from there both ways.

    A box at the frame of another takes its place. Raises ChangedElsewhere, NotPossible.
    """
    first, *others = path.boxes
    for box in boxes:
        if not path.begin_us <= box["time_us"] <= path.end_us:
            raise NotPossible("This frame lies outside of the path.")
        if first["time_us"] == box["time_us"]:
            first = box
        else:
            others = [o for o in others if o["time_us"] != box["time_us"]] + [box]
    if len(others) >= MOST_BOXES:
        raise NotPossible("This path was set right often enough. Begin a new one.")
    _follow(path, [first, *others], version)


def undo_correction(path: Path, version: int) -> None:
    """Take the last correction back. Raises ChangedElsewhere, NotPossible."""
    if not path.is_corrected:
        raise NotPossible("There is no correction left to take back.")
    _follow(path, path.boxes[:-1], version)


def follow_again(path: Path) -> None:
    """Follow a failed path anew; nothing happens to one that has not failed."""
    if path.is_failed:
        _follow(path, path.boxes, path.version)


def put_in_recap(path: Path, in_recap: bool) -> None:
    """Let the student read it, or not; what it is counted by then stays as it is now."""
    with transaction.atomic():
        if in_recap and not path.in_recap:
            path.keep_ruler(ruler_in(path.clip))
        Path.objects.filter(pk=path.pk).update(in_recap=in_recap)
    path.in_recap = in_recap


def count_by_ruler(path: Path) -> None:
    """Let the recap be counted by the length that is marked in the clip now, or by none."""
    path.keep_ruler(ruler_in(path.clip))


def cut_at(clip: Clip, time_us: int) -> Cut | None:
    """A ready cut in which the moment lies: the longest, if there are several."""
    there = [cut for cut in clip.cuts.all() if cut.is_ready and cut.holds(time_us)]
    return max(there, key=lambda cut: cut.end_us - cut.begin_us, default=None)


def cut_of(path: Path) -> Cut | None:
    """The cut that a path is followed through: a ready one that holds it, box and all."""
    boxed_us = int(path.boxes[0]["time_us"])
    ready = [cut for cut in path.clip.cuts.all() if cut.is_ready and cut.holds(boxed_us)]
    return max(
        ready,
        key=lambda cut: (cut.begin_us <= path.begin_us and path.end_us <= cut.end_us, -cut.pk),
        default=None,
    )


def swing_at(clip: Clip, time_us: int) -> Swing | None:
    """The swing within whose span the moment lies."""
    around = round(AROUND_US * clip.slowdown)
    swings = clip.swings.current().filter(
        begin_us__lte=time_us + around, finish_us__gte=time_us - around
    )
    return min(swings, key=lambda s: abs((s.begin_us + s.finish_us) / 2 - time_us), default=None)


def span_of(clip: Clip, swing: Swing | None, time_us: int) -> tuple[int, int]:
    """From when to when a patch is followed: through its swing, or around the box."""
    if swing is None:
        around = round(WITHOUT_SWING_US * clip.slowdown)
        return max(0, time_us - around), min(clip.duration_us, time_us + around)
    around = round(AROUND_US * clip.slowdown)
    begin_us, end_us = min(swing.begin_us, time_us), max(swing.finish_us, time_us)
    return max(0, begin_us - around), min(clip.duration_us, end_us + around)


def _still_for(clip: Clip, swing: Swing | None, time_us: int) -> Still:
    """A still of the swing's P1, pulled now if there is none; without a swing, of the frame."""
    stills = clip.stills.current().exclude(state=Still.State.FAILED)
    if swing is None:
        return stills.filter(time_us=time_us).first() or take_still(clip, time_us)
    span = (swing.begin_us - 1, swing.finish_us)
    address = stills.filter(position=Position.P1, time_us__range=span).first()
    if address is None:
        address = take_still(clip, positions_of(swing)[0].time_us, Position.P1)
        Still.objects.filter(pk=address.pk, swing=None).update(swing=swing)
    return address


def _follow(path: Path, boxes: list[Box], version: int) -> None:
    with transaction.atomic():
        if not path.put_boxes(boxes, version):
            raise ChangedElsewhere
        send(path)
