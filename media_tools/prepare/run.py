"""Runs a plan and looks at what came out before it counts."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

from PIL import Image

from media_tools import ffmpeg
from media_tools.errors import MediaError, NoRoom, ToolFailed, Unreadable
from media_tools.prepare.checks import (
    FAILED,
    check_enough,
    check_picture,
    check_times,
    written_times,
)
from media_tools.prepare.graph import (
    MOTION,
    POSTER,
    SAMPLE_RATE_HZ,
    SAMPLES,
    STRIP,
    STUDY,
    WATCH,
    build_first,
    build_study,
)
from media_tools.prepare.peaks import PEAKS, write_peaks
from media_tools.prepare.renditions import (
    STUDY_BOX,
    FirstPlan,
    Strip,
    StudyPlan,
    fit,
    plan_first,
    plan_study,
    searches_us,
)
from media_tools.reading import AGAIN
from media_tools.source import Source
from media_tools.times import Times

OnProgress = Callable[[float], None]
ShouldStop = Callable[[], bool]
_BROKEN_INPUT = "Invalid data found when processing input"
_BROKEN_SOUND = "while opening decoder"  # the picture's own was opened before, by `look`
_LEAST_TIMEOUT_S, _TIMEOUT_SHARE = 120, 60  # a minute for each second


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


def first(
    path: Path | str,
    source: Source,
    out_dir: Path | str,
    *,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
    timeout_s: float = 0.0,
    threads: int = 0,
) -> First:
    """Make watch rendition, poster, scrub strip, sound peaks and motion picture in `out_dir`.

    The source is decoded once, by one run of ffmpeg; `on_progress` gets fractions from 0.0 to
    1.0, `should_stop` is asked a few times a second. The files are complete and flushed to the
    disk when this returns; whatever goes wrong, none of them is left. `timeout_s` 0 takes two
    minutes and a minute for each second of the video. Raises Unreadable, ToolFailed, NoRoom,
    TimedOut or Stopped.
    """
    path, out_dir = Path(path).resolve(), Path(out_dir).resolve()

    def once(source: Source) -> First:
        wanted = plan_first(source, threads)
        ffmpeg.run(
            build_first(wanted, path, out_dir),
            length_us=source.duration_us,
            on_progress=on_progress,
            should_stop=should_stop,
            timeout_s=timeout_s or _timeout_s(source.duration_us),
        )
        _repeat_cells(wanted.strip, out_dir / STRIP)
        samples = out_dir / SAMPLES if source.has_audio else None
        write_peaks(samples, SAMPLE_RATE_HZ, source.duration_us, out_dir / PEAKS)
        made = verify_first(wanted, out_dir)
        (out_dir / SAMPLES).unlink(missing_ok=True)
        _flush(out_dir, (WATCH, MOTION, POSTER, STRIP, PEAKS))
        return made

    with _all_or_nothing(source, out_dir, (WATCH, MOTION, POSTER, STRIP, PEAKS, SAMPLES)):
        try:
            return once(source)
        except ToolFailed as error:
            if not _is_broken_sound(source, error):
                raise
            return once(_silent(source))


def study(
    path: Path | str,
    source: Source,
    begin_us: int,
    end_us: int,
    out_dir: Path | str,
    *,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
    timeout_s: float = 0.0,
    threads: int = 0,
) -> StudyCut:
    """Cut a study rendition: every frame from the one at `begin_us` to the one at `end_us`.

    Both are rendition times (they count from the source's first frame); times outside of the
    source give its first or last frame. Reading begins at the key frame before the cut, so that
    a late cut of a long source costs no more than an early one. As with `first`, the file is
    complete, looked at again and flushed when this returns, and nothing is left otherwise.
    `timeout_s` counts for each run; 0 as in `first`, by the cut's length. Raises what `first`
    raises, and ValueError where the end lies before the begin.
    """
    path, out_dir = Path(path).resolve(), Path(out_dir).resolve()

    def once(source: Source) -> StudyCut:
        wanted = plan_study(source, begin_us, end_us, threads)
        problem: MediaError | None = None
        for search_us in searches_us(wanted):
            try:
                ffmpeg.run(
                    build_study(wanted, path, out_dir, search_us),
                    length_us=wanted.duration_us,
                    on_progress=on_progress,
                    should_stop=should_stop,
                    timeout_s=timeout_s or _timeout_s(wanted.duration_us),
                )
                made = verify_study(wanted, out_dir)
            except (ToolFailed, Unreadable) as error:
                if isinstance(error, NoRoom) or _is_broken_sound(source, error):
                    raise
                problem = error  # a demuxer that does not find its way in the middle
                continue
            if made.missing_frames == 0 or search_us is None:
                _flush(out_dir, (STUDY,))
                return made
        raise problem or ToolFailed(FAILED, "no place to begin reading")

    with _all_or_nothing(source, out_dir, (STUDY,)):
        try:
            return once(source)
        except ToolFailed as error:
            if not _is_broken_sound(source, error):
                raise
            return once(_silent(source))


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


@contextmanager
def _all_or_nothing(source: Source, out_dir: Path, names: tuple[str, ...]) -> Iterator[None]:
    """Leave no file where the work failed; say in the right words why it did."""
    out_dir.mkdir(parents=True, exist_ok=True)
    done = False
    try:
        yield
        done = True
    except NoRoom:
        raise
    except ToolFailed as error:
        if not (source.cut_short or _BROKEN_INPUT in error.detail):
            raise
        raise Unreadable(
            f"This video is damaged or not complete, and what is there can't be shown. {AGAIN}",
            error.detail,
        ) from error
    except OSError as error:
        if error.errno not in {errno.ENOSPC, errno.EDQUOT}:
            raise
        raise NoRoom(ffmpeg.NO_ROOM, str(error)) from error
    finally:
        if not done:
            for name in names:
                with suppress(OSError):
                    (out_dir / name).unlink()


def _is_broken_sound(source: Source, error: MediaError) -> bool:
    return source.has_audio and _BROKEN_SOUND in error.detail


def _silent(source: Source) -> Source:
    """The source with its picture alone."""
    return replace(source, has_audio=False, audio_index=-1, audio_codec="")


def _timeout_s(duration_us: int) -> float:
    return _LEAST_TIMEOUT_S + duration_us * _TIMEOUT_SHARE / 1_000_000


def _repeat_cells(strip: Strip, path: Path) -> None:
    """Show a frame in every cell that is its own, where it has more than one."""
    if len(strip.frames_us) == strip.count:
        return
    try:
        with Image.open(path) as image:
            size = (strip.width_px, strip.height_px)
            whole = Image.new("RGB", (strip.count * strip.width_px, strip.height_px))
            for cell, frame in enumerate(strip.cells):
                left = frame * strip.width_px
                one = image.crop((left, 0, left + size[0], size[1]))
                whole.paste(one, (cell * strip.width_px, 0))
        whole.save(path, "JPEG", quality=85)
    except OSError as error:
        raise ToolFailed(FAILED, f"{path.name} can't be read again: {error}") from error


def _flush(out_dir: Path, names: tuple[str, ...]) -> None:
    for path in (*(out_dir / name for name in names), out_dir):
        descriptor = os.open(path, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
