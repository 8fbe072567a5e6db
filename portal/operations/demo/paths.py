"""Heads followed through the demo's swings, before and after."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath

from lessons.clips.models import Clip
from lessons.marks.service import save_marks
from lessons.paths import tasks
from lessons.paths.models import Path
from lessons.paths.service import begin_path, put_in_recap
from media_tools.mannequin import Truth
from portal.operations.demo.drawing import known_length, pull_at

HEAD_M = (0.24, 0.30)
FOLLOWED = ("tobias start", "tobias end")


def follow_heads(clips: Mapping[str, Clip], films: Mapping[str, tuple[FilePath, Truth]]) -> None:
    """Box each head at address, follow it here and now, put it into the recap in centimetres."""
    for name in FOLLOWED:
        clip, (_, truth) = clips[name], films[name]
        filmed_us = truth.swings[0].positions_us["P1"]
        still = pull_at(clip, truth, "P1")
        save_marks(still, 0, known_length(truth))
        x, y = truth.joint("head", truth.frame_at(filmed_us))
        grain = clip.width_px / truth.size_px[0]  # the cut may be smaller than the film
        width, height = (side * truth.px_per_m * grain for side in HEAD_M)
        box = {
            "time_us": still.time_us,
            "x": round(x * grain, 1),
            "y": round(y * grain, 1),
            "width": round(width, 1),
            "height": round(height, 1),
        }
        path = begin_path(clip, box, Path.What.HEAD, still=still)
        tasks.follow(path.pk)
        path.refresh_from_db()
        if not path.is_ready:
            raise RuntimeError(f"the head of {name} could not be followed: {path.reason}")
        put_in_recap(path, True)
