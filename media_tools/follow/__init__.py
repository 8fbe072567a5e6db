"""Follows a patch that a person boxed through the frames before and after.

`follow(frames, boxes)` gives the path, with gaps where the patch was not found; a further box
sets it right at any frame, and the path is followed anew from there both ways.
"""

from __future__ import annotations

from media_tools.follow.frames import Filmed, Frames, Held, Part
from media_tools.follow.joining import follow
from media_tools.followed import (
    ERROR_SHARE,
    LEAST_SIDE_PX,
    MOST_SIDE_PX,
    SURE,
    Box,
    Gap,
    Path,
    error_px,
)

__all__ = [
    "ERROR_SHARE",
    "LEAST_SIDE_PX",
    "MOST_SIDE_PX",
    "SURE",
    "Box",
    "Filmed",
    "Frames",
    "Gap",
    "Held",
    "Part",
    "Path",
    "error_px",
    "follow",
]
