"""The positions of a clip's swings as WebVTT chapters, for any player that reads them.

WebVTT: The Web Video Text Tracks Format, W3C (https://www.w3.org/TR/webvtt1/): a cue's end is
greater than its start, and chapters are in the order of their starts. Times are those of the
`watch` file, whose clock is the clip's.
"""

from __future__ import annotations

from itertools import pairwise

from lessons.clips.models import Clip
from lessons.clips.positions import SwingPosition, positions_of


def chapters(clip: Clip) -> str:
    """A WebVTT file with a chapter from each position to the next, the last to the clip's end."""
    swings = list(clip.swings.current().prefetch_related("placed"))
    starts = [
        # Rounded up: a seek to the chapter must not land in the frame before
        (-(-found.time_us // 1000), _words(found, number if len(swings) > 1 else None))
        for number, swing in enumerate(swings, 1)
        for found in positions_of(swing)
    ]
    starts.sort(key=lambda start: start[0])
    end_ms = -(-clip.duration_us // 1000)
    cues = [
        f"{_stamp(start)} --> {_stamp(end)}\n{words}\n"
        for (start, words), (end, _) in pairwise([*starts, (end_ms, "")])
        if start < end
    ]
    return "\n".join(["WEBVTT\n", *cues])


def _words(found: SwingPosition, number: int | None) -> str:
    swing = f"Swing {number}, " if number else ""
    guess = " (a guess)" if found.is_guess else ""
    return f"{swing}{found.position} {found.label}{guess}"


def _stamp(ms: int) -> str:
    minutes, rest = divmod(ms, 60_000)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02}:{minutes:02}:{rest // 1000:02}.{rest % 1000:03}"
