"""Decides what is made from a source: sizes, rates, times. Pure."""

from __future__ import annotations

import os
from dataclasses import dataclass

from media_tools.source import Source, frame_at

WATCH_BOX = (1280, 720)
STUDY_BOX = (1920, 1080)
WATCH_RATE_HZ = 60
POSTER_BOX = (1280, 720)
POSTER_AT = 1 / 3  # of the length: by then the student stands at the ball
STRIP_BOX = (160, 160)
STRIP_CELLS = 24
_FINEST_TIMESCALE = 1_000_000
_COARSEST_TIMESCALE = 60_000


@dataclass(frozen=True)
class Rendition:
    """One video to write, as it is shown (the turn already made)."""

    name: str  # 'watch' or 'study'
    width_px: int
    height_px: int
    most_hz: int  # frames above this rate are left out; 0: every frame is kept


@dataclass(frozen=True)
class Strip:
    """One picture of small frames from left to right, evenly spread over the length.

    Cell k shows the frame at (k + 1/2) / count of the length. Where a frame is shown for longer
    than a cell spans, several cells show it.
    """

    frames_us: tuple[int, ...]  # the frames in it, each once
    cells: tuple[int, ...]  # for each cell the index of its frame among them
    width_px: int  # of one cell
    height_px: int

    @property
    def count(self) -> int:
        return len(self.cells)


@dataclass(frozen=True)
class Plan:
    """All that one run makes of one source. Times count from the source's first frame."""

    source: Source
    renditions: tuple[Rendition, ...]  # from the largest to the smallest
    poster: tuple[int, int]  # width and height in pixels
    poster_us: int  # a frame's own time
    strip: Strip
    timescale: int  # ticks a second of the clock written, a multiple of the source's own
    threads: int


def plan(source: Source, threads: int = 0) -> Plan:
    """What to make of a source; `threads` 0 takes one for each core, at most four."""
    study = Rendition("study", *fit(source.width_px, source.height_px, STUDY_BOX), most_hz=0)
    small = fit(source.width_px, source.height_px, WATCH_BOX)
    dense = source.rate_hz > WATCH_RATE_HZ * 1.01
    watch = Rendition("watch", *small, most_hz=WATCH_RATE_HZ if dense else 0)
    poster = frame_at(source.times_us, source.start_us + round(source.duration_us * POSTER_AT))
    return Plan(
        source=source,
        renditions=(study, watch),
        poster=fit(source.width_px, source.height_px, POSTER_BOX),
        poster_us=int(source.times_us[poster]) - source.start_us,
        strip=_strip(source),
        timescale=_timescale(source),
        threads=threads or min(4, os.cpu_count() or 1),
    )


def _strip(source: Source) -> Strip:
    count = min(STRIP_CELLS, source.frame_count)
    middles = (
        source.start_us + source.duration_us * (2 * k + 1) // (2 * count) for k in range(count)
    )
    shown = [frame_at(source.times_us, t_us) for t_us in middles]
    frames = sorted(set(shown))
    return Strip(
        tuple(int(source.times_us[index]) - source.start_us for index in frames),
        tuple(frames.index(index) for index in shown),
        *fit(source.width_px, source.height_px, STRIP_BOX),
    )


def fit(width_px: int, height_px: int, box: tuple[int, int]) -> tuple[int, int]:
    """The largest even size of the same shape within a box, which is turned as the picture is.

    Never larger than the picture itself (but for the even number), never under 2.
    """
    long_side, short_side = box
    box_width, box_height = (
        (long_side, short_side) if width_px >= height_px else (short_side, long_side)
    )
    share = min(1.0, box_width / width_px, box_height / height_px)
    return _even(width_px * share, box_width), _even(height_px * share, box_height)


def _even(length_px: float, most_px: int) -> int:
    return min(max(2, 2 * round(length_px / 2)), most_px)


def _timescale(source: Source) -> int:
    """A clock in which every time of the source is a whole number of ticks, if there is one."""
    den = source.time_base.denominator
    if den > _FINEST_TIMESCALE:
        return 90_000
    return den * max(1, -(-_COARSEST_TIMESCALE // den))
