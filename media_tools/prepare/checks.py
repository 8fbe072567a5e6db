"""Looks at what a run of ffmpeg wrote, before it counts."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image, UnidentifiedImageError

from media_tools import boxes
from media_tools.errors import MediaError, ToolFailed, Unreadable
from media_tools.reading import AGAIN, Limits
from media_tools.source import look
from media_tools.times import Times

FAILED = "This video could not be prepared. Nothing is lost: tell the person who runs this site."
TOLERANCE_US = 1_000
_LEAST_SHARE = 0.5  # of the frames listed that must come out for a damaged file to count
_WRITTEN = Limits(duration_us=10**13, frames=10**8)


def written_times(path: Path, size: tuple[int, int], *, to_play: bool = True) -> Times:
    """When each frame of a video just written is shown.

    Raises ToolFailed where it can't be read again, has another size, is turned or cut short, or
    (`to_play`) has its index at the end.
    """
    try:
        found = look(path, _WRITTEN)
        structure = boxes.read_structure(path)
    except (MediaError, OSError) as error:
        raise ToolFailed(FAILED, f"{path.name} can't be read again: {error}") from error
    shown = (found.width_px, found.height_px)
    if shown != size or found.rotation_deg or found.mirrored:
        raise ToolFailed(FAILED, f"{path.name} came out as {found}")
    if found.cut_short or (to_play and not structure.index_first):
        raise ToolFailed(
            FAILED, f"{path.name} is cut short or has its index at the end: {structure.kinds}"
        )
    return found.times_us


def check_times(wanted_us: Times, times_us: Times) -> None:
    """Each frame written must be one of those wanted, at its own time, and none twice."""
    if len(wanted_us) == 1:
        nearest = np.zeros(len(times_us), dtype=np.int64)
    else:
        after = np.clip(np.searchsorted(wanted_us, times_us), 1, len(wanted_us) - 1)
        before_is_nearer = times_us - wanted_us[after - 1] < wanted_us[after] - times_us
        nearest = np.where(before_is_nearer, after - 1, after)
    off_us = np.abs(wanted_us[nearest] - times_us)
    if off_us.max(initial=0) > TOLERANCE_US or (np.diff(nearest) < 1).any():
        raise Unreadable(
            "The times kept in this video contradict each other, so it can't be shown frame by "
            "frame. Export it once more as MP4 on the phone and upload that.",
            f"frames came out up to {off_us.max()} us off or doubled",
        )


def check_enough(count: int, wanted: int) -> None:
    """Refuse a source of which less than half the frames came out."""
    if count < _LEAST_SHARE * wanted:
        raise Unreadable(
            f"Most of this video is damaged and can't be shown. {AGAIN}",
            f"{count} of {wanted} frames decoded",
        )


def check_picture(path: Path, width_px: int, height_px: int) -> None:
    """A picture just written must be whole and of its size."""
    try:
        with Image.open(path) as image:
            image.load()
            size = image.size
    except (OSError, UnidentifiedImageError) as error:
        raise ToolFailed(FAILED, f"{path.name} can't be read again: {error}") from error
    if size != (width_px, height_px):
        raise ToolFailed(FAILED, f"{path.name} is {size}, not {(width_px, height_px)}")
