"""When each frame of a clip is shown: the table as it is kept and read.

A JSON list of integer microseconds, sorted; what a page reads is the same file.
"""

from __future__ import annotations

import json
from bisect import bisect_right
from collections.abc import Sequence
from pathlib import Path

from lessons.clips.models import Clip


def write(times_us: Sequence[int], path: Path) -> None:
    """Write the table to a local file."""
    path.write_text(json.dumps(list(times_us), separators=(",", ":")))


def read(clip: Clip) -> list[int]:
    """The table of a ready clip, in microseconds of the clip's clock."""
    with clip.times.open("rb") as file:
        times: list[int] = json.load(file)
    return times


def shown_at(times_us: Sequence[int], time_us: int) -> int:
    """The index of the frame shown at a time: the last that begins at or before it."""
    return max(0, bisect_right(times_us, time_us) - 1)


def middle(times_us: Sequence[int], index: int, duration_us: int) -> int:
    """The middle of a frame's interval: never on the border where rounding decides."""
    end = times_us[index + 1] if index + 1 < len(times_us) else duration_us
    return (times_us[index] + max(end, times_us[index])) // 2


def words(clip: Clip, time_us: int) -> str:
    """A moment of a clip as it was in life, to the millisecond: '1.817 s'."""
    return f"{round(time_us / 1000 / clip.slowdown) / 1000:.3f} s"


def at(times_us: Sequence[int], time_us: int) -> int:
    """The own time of the frame shown at a time."""
    return times_us[shown_at(times_us, time_us)]
