"""Following a path's patch through its cut, and settling the row.

The cut's study rendition is read, not the original: it has every frame at its exact time, lies
upright, has ordinary brightness and a key frame often enough to go backwards; the browser's
boxes are drawn on the same pixels.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from lessons.clips import times, working
from lessons.clips.working import LeaseLost
from lessons.paths import service
from lessons.paths.models import Path
from media_tools import follow
from media_tools.source import Times, frame_at
from portal.files import local
from portal.work.lease import Lease

GIVEN_UP = "The patch could not be followed. Try again in a while."
LOST = "The frames of this swing are not in the store any more, so nothing can be followed."
NO_CUT = "This part of the clip is not ready to be stepped through any more. Ask for it again."


def follow_patch(lease: Lease) -> None:
    """Follow the patch of the lease's path."""
    path = Path.objects.select_related("clip").get(pk=lease.pk)
    if working.is_spent(path, lease, GIVEN_UP):
        return
    cut = service.cut_of(path)
    if cut is None:
        lease.settle(Path.State.FAILED, reason=NO_CUT, may_pass_later=False)
        return
    with working.outcomes(path, lease, given_up=GIVEN_UP, lost=LOST):
        progress = working.begin(lease)
        with local.local_copy(cut.study) as study:
            whole = follow.Filmed(study)
            clock = on_the_clip(whole.times_us + cut.offset_us, times.read(path.clip))
            first, last = frame_at(clock, path.begin_us), frame_at(clock, path.end_us)
            part = follow.Part(whole, first, last)
            boxes = [
                follow.Box(
                    min(max(frame_at(clock, int(box["time_us"])) - first, 0), last - first),
                    *(box[key] for key in ("x", "y", "width", "height")),
                )
                for box in path.boxes
            ]
            went = follow.follow(
                part,
                boxes,
                on_progress=progress.on_progress,
                should_stop=progress.should_stop,
            )
        places = places_of(went, clock[first : last + 1])
        settled = lease.settle(
            Path.State.READY,
            reason="",
            may_pass_later=False,
            progress_permille=1000,
            places=places,
        )
        if not settled:
            raise LeaseLost


def on_the_clip(cut_us: Times, table: Sequence[int]) -> Times:
    """The clip's own times of a cut's frames, which its file has rounded by some microseconds."""
    own = np.asarray(table, dtype=np.int64)
    after = np.clip(np.searchsorted(own, cut_us), 1, max(1, len(own) - 1))
    before = after - 1
    after = np.minimum(after, len(own) - 1)
    nearer: Times = np.where(own[after] - cut_us < cut_us - own[before], own[after], own[before])
    return nearer


def places_of(went: follow.Path, clock: Times) -> list[list[Any]]:
    """A followed path as it is kept, see `Path.places`; `clock`: its frames' times in the clip."""
    return [
        [
            int(time_us),
            round(float(x), 2) if found else None,
            round(float(y), 2) if found else None,
            round(float(sure), 3),
            round(float(scale), 4) if found else None,
            round(float(error_px), 2) if found else None,
        ]
        for time_us, x, y, sure, scale, error_px, found in zip(
            clock,
            went.x_px,
            went.y_px,
            went.confidence,
            went.scale,
            went.error_px,
            went.found,
            strict=True,
        )
    ]
