"""What the two steps give back, made only of files that were looked at again."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from media_tools.errors import ToolFailed
from media_tools.prepare.checks import (
    FAILED,
    check_enough,
    check_picture,
    check_times,
    written_times,
)
from media_tools.prepare.graph import MOTION, POSTER, STRIP, STUDY, WATCH
from media_tools.prepare.peaks import PEAKS
from media_tools.prepare.renditions import STUDY_BOX, FirstPlan, StudyPlan, fit
from media_tools.times import Times


@dataclass(frozen=True, eq=False)
class First:
    """What lets a clip be watched at once, all of it looked at again.

    Rendition time counts microseconds from the source's first frame:
    source time = rendition time + offset_us.
    """

    watch: Path  # MP4, at most 720p and 60 frames a second
    poster: Path
    strip: Path  # one row of `strip_count` small pictures
    strip_count: int
    peaks: Path  # JSON, see `write_peaks`
    motion: Path  # MP4, at most 160x90, grey, near lossless, the frames of `watch`
    width_px: int  # of a study cut
    height_px: int
    duration_us: int
    times_us: Times = field(
        repr=False
    )  # when every frame of the source is shown, in rendition time
    offset_us: int
    has_sound: bool  # False also where the source's sound is damaged
    cut_short: bool  # the source ends before it should
    missing_frames: int  # of those that `watch` should show: they could not be decoded


@dataclass(frozen=True, eq=False)
class StudyCut:
    """A part of a clip with every frame of the source, looked at again."""

    file: Path  # MP4, up to 1080p; its own time 0 is its first frame
    times_us: Times = field(
        repr=False
    )  # when each of its frames is shown, in rendition time of the clip
    offset_us: int  # rendition time of the clip = the cut's own time + offset_us
    duration_us: int
    width_px: int
    height_px: int
    missing_frames: int  # that the source lists and that could not be decoded


def verify_first(wanted: FirstPlan, out_dir: Path) -> First:
    """Look at what a run wrote; raise ToolFailed or Unreadable where it is not what was planned."""
    source = wanted.source
    clock_us = source.times_us - source.start_us
    watch_us = written_times(out_dir / WATCH, wanted.watch)
    motion_us = written_times(out_dir / MOTION, wanted.motion, to_play=False)
    check_times(clock_us, watch_us)
    check_times(clock_us, motion_us)
    if len(watch_us) != len(motion_us):
        raise ToolFailed(FAILED, f"{len(watch_us)} frames to watch, {len(motion_us)} of motion")
    check_enough(len(watch_us), wanted.frame_count)
    check_picture(out_dir / POSTER, *wanted.poster)
    strip = wanted.strip
    check_picture(out_dir / STRIP, strip.count * strip.width_px, strip.height_px)
    width_px, height_px = fit(source.width_px, source.height_px, STUDY_BOX)
    return First(
        watch=out_dir / WATCH,
        poster=out_dir / POSTER,
        strip=out_dir / STRIP,
        strip_count=strip.count,
        peaks=out_dir / PEAKS,
        motion=out_dir / MOTION,
        width_px=width_px,
        height_px=height_px,
        duration_us=source.duration_us,
        times_us=clock_us,
        offset_us=source.start_us,
        has_sound=source.has_audio,
        cut_short=source.cut_short,
        missing_frames=max(0, wanted.frame_count - len(watch_us)),
    )


def verify_study(wanted: StudyPlan, out_dir: Path) -> StudyCut:
    """Look at a cut; raise ToolFailed or Unreadable where it is not what was planned."""
    own_us = written_times(out_dir / STUDY, wanted.size)
    times_us = own_us + wanted.begin_us
    check_times(wanted.times_us, times_us)
    check_enough(len(times_us), len(wanted.times_us))
    return StudyCut(
        file=out_dir / STUDY,
        times_us=times_us,
        offset_us=wanted.begin_us,
        duration_us=wanted.duration_us,
        width_px=wanted.size[0],
        height_px=wanted.size[1],
        missing_frames=len(wanted.times_us) - len(times_us),
    )
