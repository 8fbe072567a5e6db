"""Decides what is made from a source: sizes, rates, times. Pure.

Two plans: `plan_first` for what lets a clip be watched at once, `plan_study` for a cut of it that
is stepped through frame by frame. Times in a plan count from the source's first frame.
"""

from __future__ import annotations

import os
from dataclasses import dataclass

import numpy as np

from media_tools.source import Source, frame_at
from media_tools.times import Times

WATCH_BOX = (1280, 720)
STUDY_BOX = (1920, 1080)
POSTER_BOX = (1280, 720)
STRIP_BOX = (160, 160)
MOTION_BOX = (160, 90)
WATCH_RATE_HZ = 60
SLACK_US = 500  # less than half of any frame's length: time stamps are rounded
KEPT_EVERY_US = 1_000_000 / WATCH_RATE_HZ - 700  # Matroska rounds time stamps to milliseconds
POSTER_AT = 1 / 3  # of the length: by then the student stands at the ball
STRIP_CELLS = 24
_FINEST_TIMESCALE = 1_000_000
_COARSEST_TIMESCALE = 60_000
_WELL_BEFORE_US = 10_000_000  # where the search of a demuxer did not land where it should
_JUST_AFTER_US = 1_000  # less than any frame lasts: a time is rounded, and may lie before its frame


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
class FirstPlan:
    """All that the first step makes of one source. Sizes are width and height, as shown."""

    source: Source
    watch: tuple[int, int]
    motion: tuple[int, int]
    poster: tuple[int, int]
    poster_us: int  # a frame's own time
    strip: Strip
    thinned: bool  # frames above WATCH_RATE_HZ are left out
    frame_count: int  # of watch rendition and motion picture
    timescale: int  # ticks a second of the clock written, a multiple of the source's own
    threads: int


@dataclass(frozen=True)
class StudyPlan:
    """One cut of a source, up to 1080p, with every frame from the first to the last."""

    source: Source
    size: tuple[int, int]
    first: int  # indices of the source's frames
    last: int
    begin_us: int  # when the first one is shown
    end_us: int  # when the last one ends
    timescale: int
    threads: int

    @property
    def times_us(self) -> Times:
        """When each frame of the cut is shown, counted from the source's first frame."""
        return self.source.times_us[self.first : self.last + 1] - self.source.start_us

    @property
    def duration_us(self) -> int:
        return self.end_us - self.begin_us

    @property
    def goes_on(self) -> bool:
        """The source has frames after the last one of the cut."""
        return self.last + 1 < self.source.frame_count


def plan_first(source: Source, threads: int = 0) -> FirstPlan:
    """What to make of a source at first; `threads` 0 takes three for two cores, at most six."""
    shape = (source.width_px, source.height_px)
    thinned = source.rate_hz > WATCH_RATE_HZ * 1.01
    poster = frame_at(source.times_us, source.start_us + round(source.duration_us * POSTER_AT))
    return FirstPlan(
        source=source,
        watch=fit(*shape, WATCH_BOX),
        motion=fit(*shape, MOTION_BOX),
        poster=fit(*shape, POSTER_BOX),
        poster_us=int(source.times_us[poster]) - source.start_us,
        strip=_strip(source),
        thinned=thinned,
        frame_count=_kept(source.times_us) if thinned else source.frame_count,
        timescale=_timescale(source),
        threads=threads or _threads(),
    )


def plan_study(source: Source, begin_us: int, end_us: int, threads: int = 0) -> StudyPlan:
    """A cut from the frame shown at `begin_us` to the one shown at `end_us`, both with it.

    Times before the first frame or after the last one give that frame. Raises ValueError where
    the end lies before the begin.
    """
    if end_us < begin_us:
        raise ValueError(f"a cut from {begin_us} to {end_us} us ends before it begins")
    first, last = (frame_at(source.times_us, source.start_us + t) for t in (begin_us, end_us))
    ends = (
        int(source.times_us[last + 1]) - source.start_us
        if last + 1 < source.frame_count
        else source.duration_us
    )
    return StudyPlan(
        source=source,
        size=fit(source.width_px, source.height_px, STUDY_BOX),
        first=first,
        last=last,
        begin_us=int(source.times_us[first]) - source.start_us,
        end_us=ends,
        timescale=_timescale(source),
        threads=threads or _threads(),
    )


def searches_us(plan: StudyPlan) -> tuple[int | None, ...]:
    """Where in the source, on its own clock, to begin reading for a cut: the fastest first.

    The key frame before the cut; well before it, for demuxers that search by decoding time or by
    guess; None is the source's beginning, which never fails.
    """
    keys = plan.source.key_times_us
    at = int(np.searchsorted(keys, plan.source.times_us[plan.first], side="right")) - 1
    if at < 1:
        return (None,)
    key_us = int(keys[at])
    earlier_us = key_us - _WELL_BEFORE_US
    places = () if plan.source.container == "mpegts" else (key_us + _JUST_AFTER_US,)
    return (*places, *((earlier_us,) if earlier_us > plan.source.start_us else ()), None)


def _kept(times_us: Times) -> int:
    """How many frames stay where those above WATCH_RATE_HZ are left out."""
    count, last = 0, -(1 << 62)
    for t_us in times_us.tolist():
        if t_us - last >= KEPT_EVERY_US:
            count, last = count + 1, t_us
    return count


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


def _threads() -> int:
    """Half as many again as there are cores, as x264 itself takes: some always wait for others."""
    return min(6, max(1, (os.cpu_count() or 1) * 3 // 2))
