"""Runs a plan and looks at what came out before it counts."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from PIL import Image, UnidentifiedImageError

from media_tools import boxes, ffmpeg
from media_tools.errors import MediaError, NoRoom, ToolFailed, Unreadable
from media_tools.prepare.graph import POSTER, STRIP, STUDY, WATCH, build
from media_tools.prepare.renditions import Plan, Rendition, Strip, plan
from media_tools.reading import AGAIN, Limits
from media_tools.source import Source, look
from media_tools.times import Times

_TOLERANCE_US = 1_000
_LEAST_SHARE = 0.5  # of the frames listed that must come out for a damaged file to count
_WRITTEN = Limits(duration_us=10**13, frames=10**8)
_BROKEN_INPUT = "Invalid data found when processing input"
_BROKEN_SOUND = "while opening decoder"  # the picture's own was opened before, by `look`
_FAILED = "This video could not be prepared. Nothing is lost: tell the person who runs this site."


@dataclass(frozen=True)
class Prepared:
    """What was made, all of it looked at again.

    Rendition time counts microseconds from the source's first frame:
    source time = rendition time + offset_us.
    """

    watch: Path
    study: Path
    poster: Path
    strip: Path
    strip_count: int
    strip_columns: int
    width_px: int  # of the study rendition
    height_px: int
    duration_us: int
    study_times_us: list[int]  # when each frame of the study rendition is shown
    offset_us: int
    missing_frames: int  # that the source lists and that could not be decoded
    has_sound: bool  # False also where the source's sound is damaged
    cut_short: bool  # the source ends before it should


def prepare(
    path: Path | str,
    source: Source,
    out_dir: Path | str,
    on_progress: Callable[[float], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
    *,
    timeout_s: float = 0.0,
    threads: int = 0,
) -> Prepared:
    """Make watch and study rendition, poster and scrub strip of a source in `out_dir`.

    One run of ffmpeg; `on_progress` gets fractions from 0.0 to 1.0, `should_stop` is asked a few
    times a second. The files are complete and flushed to the disk when this returns; whatever
    goes wrong, none of them is left. `timeout_s` 0 takes two minutes and a minute for each
    second of the video. Raises Unreadable, ToolFailed, NoRoom, TimedOut or Stopped.
    """
    path, out_dir = Path(path).resolve(), Path(out_dir).resolve()
    out_dir.mkdir(parents=True, exist_ok=True)

    def once(source: Source) -> Prepared:
        wanted = plan(source, threads)
        ffmpeg.run(
            build(wanted, path, out_dir),
            length_us=source.duration_us,
            on_progress=on_progress,
            should_stop=should_stop,
            timeout_s=timeout_s or 120 + source.duration_us * 60 / 1_000_000,
        )
        _repeat_cells(wanted.strip, out_dir / STRIP)
        prepared = verify(wanted, out_dir)
        _flush(out_dir)
        return prepared

    done = False
    try:
        prepared = _without_broken_sound(once, source)
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
            for name in (WATCH, STUDY, POSTER, STRIP):
                with suppress(OSError):
                    (out_dir / name).unlink()
    return prepared


def _without_broken_sound(once: Callable[[Source], Prepared], source: Source) -> Prepared:
    """Prepare a source; where only its sound can't be decoded, the picture alone."""
    try:
        return once(source)
    except ToolFailed as error:
        if not source.has_audio or _BROKEN_SOUND not in error.detail:
            raise
        return once(replace(source, has_audio=False, audio_index=-1, audio_codec=""))


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
        raise ToolFailed(_FAILED, f"{path.name} can't be read again: {error}") from error


def verify(wanted: Plan, out_dir: Path) -> Prepared:
    """Look at what a run wrote; raise ToolFailed where it is not what was planned."""
    source = wanted.source
    study, watch = wanted.renditions
    times_us = _check_video(study, out_dir)
    watch_times_us = _check_video(watch, out_dir)
    _check_times(source, times_us)
    _check_times(source, watch_times_us)
    if not watch.most_hz and len(watch_times_us) != len(times_us):
        raise ToolFailed(_FAILED, f"{len(watch_times_us)} frames to watch, not {len(times_us)}")
    if len(times_us) < _LEAST_SHARE * source.frame_count:
        raise Unreadable(
            f"Most of this video is damaged and can't be shown. {AGAIN}",
            f"{len(times_us)} of {source.frame_count} frames decoded",
        )
    _check_picture(out_dir / POSTER, *wanted.poster)
    strip = wanted.strip
    _check_picture(out_dir / STRIP, strip.count * strip.width_px, strip.height_px)
    return Prepared(
        watch=out_dir / WATCH,
        study=out_dir / STUDY,
        poster=out_dir / POSTER,
        strip=out_dir / STRIP,
        strip_count=strip.count,
        strip_columns=strip.count,
        width_px=study.width_px,
        height_px=study.height_px,
        duration_us=source.duration_us,
        study_times_us=[int(t) for t in times_us],
        offset_us=source.start_us,
        missing_frames=source.frame_count - len(times_us),
        has_sound=source.has_audio,
        cut_short=source.cut_short,
    )


def _check_video(rendition: Rendition, out_dir: Path) -> Times:
    path = out_dir / f"{rendition.name}.mp4"
    try:
        found = look(path, _WRITTEN)
        structure = boxes.read_structure(path)
    except (MediaError, OSError) as error:
        raise ToolFailed(_FAILED, f"{path.name} can't be read again: {error}") from error
    size = (found.width_px, found.height_px)
    if size != (rendition.width_px, rendition.height_px) or found.rotation_deg or found.mirrored:
        raise ToolFailed(_FAILED, f"{path.name} came out as {found}")
    if found.cut_short or not structure.index_first:
        raise ToolFailed(
            _FAILED, f"{path.name} is cut short or has its index at the end: {structure.kinds}"
        )
    return found.times_us


def _check_times(source: Source, times_us: Times) -> None:
    """Each frame written must be one of the source's, at its own time, and none twice."""
    wanted = source.times_us - source.start_us
    after = np.clip(np.searchsorted(wanted, times_us), 1, max(1, len(wanted) - 1))
    if len(wanted) == 1:
        nearest = np.zeros(len(times_us), dtype=np.int64)
    else:
        before_is_nearer = times_us - wanted[after - 1] < wanted[after] - times_us
        nearest = np.where(before_is_nearer, after - 1, after)
    off_us = np.abs(wanted[nearest] - times_us)
    if off_us.max(initial=0) > _TOLERANCE_US or (np.diff(nearest) < 1).any():
        raise Unreadable(
            "The times kept in this video contradict each other, so it can't be shown frame by "
            "frame. Export it once more as MP4 on the phone and upload that.",
            f"frames came out up to {off_us.max()} us off or doubled",
        )


def _check_picture(path: Path, width_px: int, height_px: int) -> None:
    try:
        with Image.open(path) as image:
            image.load()
            size = image.size
    except (OSError, UnidentifiedImageError) as error:
        raise ToolFailed(_FAILED, f"{path.name} can't be read again: {error}") from error
    if size != (width_px, height_px):
        raise ToolFailed(_FAILED, f"{path.name} is {size}, not {(width_px, height_px)}")


def _flush(out_dir: Path) -> None:
    for path in (*(out_dir / name for name in (WATCH, STUDY, POSTER, STRIP)), out_dir):
        descriptor = os.open(path, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
