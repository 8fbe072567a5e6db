"""Runs a plan and looks at what came out before it counts."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path

from PIL import Image

from media_tools import ffmpeg
from media_tools.errors import MediaError, NoRoom, ToolFailed, Unreadable
from media_tools.prepare.checks import FAILED
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
from media_tools.prepare.made import First, StudyCut, verify_first, verify_study
from media_tools.prepare.peaks import PEAKS, write_peaks
from media_tools.prepare.renditions import Strip, plan_first, plan_study, searches_us
from media_tools.reading import AGAIN
from media_tools.source import Source

OnProgress = Callable[[float], None]
ShouldStop = Callable[[], bool]
_BROKEN_INPUT = "Invalid data found when processing input"
_BROKEN_SOUND = (
    "while opening decoder",  # the picture's own was opened before, by `look`
    "Error submitting audio frame",  # its rate or channels seem to change in the middle
    "Error reinitializing filters",
)
_LEAST_TIMEOUT_S, _TIMEOUT_SHARE = 120, 60  # a minute for each second


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
    return source.has_audio and any(words in error.detail for words in _BROKEN_SOUND)


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
