"""Both renditions of a whole source in one run: what there was before study cuts."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import ffmpeg as arguments
import numpy as np
from PIL import Image, UnidentifiedImageError

from media_tools import boxes, ffmpeg
from media_tools.errors import MediaError, NoRoom, ToolFailed, Unreadable
from media_tools.prepare.renditions import (
    POSTER_AT,
    POSTER_BOX,
    STUDY_BOX,
    WATCH_BOX,
    WATCH_RATE_HZ,
    Strip,
    _timescale,
    fit,
)
from media_tools.prepare.renditions import (
    _strip as plan_strip,
)
from media_tools.reading import AGAIN, Limits, demuxer_options
from media_tools.source import Source, frame_at, look
from media_tools.times import Times


@dataclass(frozen=True)
class Rendition:
    """One video to write, as it is shown (the turn already made)."""

    name: str  # 'watch' or 'study'
    width_px: int
    height_px: int
    most_hz: int  # frames above this rate are left out; 0: every frame is kept


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
        strip=plan_strip(source),
        timescale=_timescale(source),
        threads=threads or min(4, os.cpu_count() or 1),
    )


WATCH, STUDY, POSTER, STRIP = "watch.mp4", "study.mp4", "poster.jpg", "strip.jpg"
KEY_FRAME_EVERY = 12
_SLACK_S = 0.0005  # of the interval between frames kept: time stamps are rounded

_X264 = {
    "c:v": "libx264",
    "preset": "veryfast",
    "crf": 23,
    "pix_fmt": "yuv420p",
    "g": KEY_FRAME_EVERY,
    "keyint_min": KEY_FRAME_EVERY,
    "sc_threshold": 0,
}
_AAC = {"c:a": "aac", "b:a": "128k", "ar": 48_000}
_BT709 = {
    "color_primaries": "bt709",
    "color_trc": "bt709",
    "colorspace": "bt709",
    "range": "tv",
}
# nothing that the source says about itself goes out: no place, device, date, name or chapters
_NAMELESS = {"map_metadata": -1, "map_chapters": -1}
_PICTURE = {"f": "mjpeg", "frames:v": 1, "q:v": 4, "fps_mode": "passthrough", **_NAMELESS}


def build(plan: Plan, path: Path, out_dir: Path) -> list[str]:
    """The arguments (without the program) that make all of a plan in `out_dir`."""
    source = plan.source
    given = arguments.input(
        f"file:{path}",
        f=source.container,
        **demuxer_options(source.container),
        threads=plan.threads,
        noautorotate=None,
    )
    # Each of the three reads the source's frames for itself: a graph with a single input makes
    # ffmpeg 5.1 copy the display matrix to what it writes, and a player would turn it once more.
    frames = given[str(source.video_index)]
    largest = plan.renditions[0]
    pictures = _upright(source, frames, largest.width_px, largest.height_px).filter(
        "setpts", f"round(PTS-{_seconds(source.start_us)}/TB)"
    )
    branches = pictures.filter_multi_output("split", len(plan.renditions))
    sounds = _sounds(plan, given) if source.has_audio else [None] * len(plan.renditions)
    outputs = [
        _video(plan, rendition, branches[number], sounds[number], out_dir)
        for number, rendition in enumerate(plan.renditions)
    ]
    outputs.append(_poster(plan, frames, out_dir))
    outputs.append(_strip(plan, frames, out_dir))
    return [
        *("-y", "-copyts", "-max_error_rate", "1"),
        *("-filter_threads", str(plan.threads), "-filter_complex_threads", str(plan.threads)),
        *arguments.merge_outputs(*outputs).get_args(),
    ]


def _upright(source: Source, stream: Any, width_px: int, height_px: int) -> Any:
    """Frames as they are shown, SDR, of the given size.

    Made smaller before they are turned and before their tones are mapped: that costs least.
    """
    width_px, height_px = source.orientation.size(width_px, height_px)
    if source.is_hdr:
        stream = stream.filter("scale", width_px, height_px)
        for name, options in source.colour.tone_filters():
            stream = stream.filter(name, **options)
        stream = stream.filter("scale", out_color_matrix="bt709", out_range="tv")
    else:
        colours = source.colour.scale_options(
            source.coded_height_px, to_matrix="bt709", to_range="tv"
        )
        stream = stream.filter("scale", width_px, height_px, **colours)
    stream = stream.filter("format", "yuv420p")
    for name, argument in source.orientation.filters():
        stream = stream.filter(name, *([argument] if argument else []))
    stream = stream.filter("setsar", 1)
    stream = stream.filter("setparams", **_BT709)
    # newer releases hand the display matrix on with the frames
    return stream.filter("sidedata", mode="delete")


def _sounds(plan: Plan, given: Any) -> Any:
    """The sound for each rendition, beginning and ending with the picture."""
    source = plan.source
    sound = (
        given[str(source.audio_index)]
        .filter("asetpts", f"PTS-{_seconds(source.start_us)}/TB")
        .filter("atrim", start=0)
        .filter("aresample", **{"async": 1, "first_pts": 0})
        .filter("aformat", channel_layouts="stereo|mono")
        .filter("apad", whole_dur=_seconds(source.duration_us))
        .filter("atrim", end=_seconds(source.duration_us))
    )
    return sound.filter_multi_output("asplit", len(plan.renditions))


def _video(plan: Plan, rendition: Rendition, picture: Any, sound: Any, out_dir: Path) -> Any:
    if rendition.most_hz:
        wait = f"1/{rendition.most_hz}-{_SLACK_S}"
        picture = picture.filter("select", f"isnan(prev_selected_t)+gte(t-prev_selected_t,{wait})")
    largest = plan.renditions[0]
    size = (rendition.width_px, rendition.height_px)
    if size != (largest.width_px, largest.height_px):
        picture = picture.filter("scale", *size).filter("setsar", 1)
    return arguments.output(
        *([picture] if sound is None else [picture, sound]),
        f"file:{out_dir / rendition.name}.mp4",
        **_X264,
        **({} if sound is None else _AAC),
        **_NAMELESS,
        **{
            "f": "mp4",
            "movflags": "+faststart",
            "fps_mode:v": "passthrough",
            "enc_time_base:v": f"1:{plan.timescale}",
            "video_track_timescale": plan.timescale,
            "threads:v": plan.threads,
        },
    )


def _poster(plan: Plan, picture: Any, out_dir: Path) -> Any:
    wanted = _seconds(plan.source.start_us + plan.poster_us)
    picture = picture.filter("select", f"gte(t,{wanted}-{_SLACK_S})")
    photo = _photo(_upright(plan.source, picture, *plan.poster))
    return arguments.output(photo, f"file:{out_dir / POSTER}", **_PICTURE)


def _strip(plan: Plan, picture: Any, out_dir: Path) -> Any:
    """Each wanted frame once, side by side; `run` repeats those that fill several cells."""
    strip = plan.strip
    times = [_seconds(plan.source.start_us + t_us) for t_us in strip.frames_us]

    def begun(moment: str) -> str:
        return "+".join(f"gte({moment},{time}-{_SLACK_S})" for time in times)

    # one frame for each time passed: where one can't be decoded, the next takes its cell
    picture = picture.filter("select", f"gt({begun('t')},{begun('prev_selected_t')})")
    # the only word on progress: ffmpeg reports nothing before every output has begun, and this
    # one begins with its last cell
    picture = picture.filter("metadata", mode="add", key="cell", value=1)
    picture = picture.filter("metadata", mode="print", file="pipe:1", direct=1)
    cells = _photo(_upright(plan.source, picture, strip.width_px, strip.height_px))
    tiled = cells.filter("tile", f"{len(strip.frames_us)}x1")
    return arguments.output(tiled, f"file:{out_dir / STRIP}", **_PICTURE)


def _photo(picture: Any) -> Any:
    """JPEG's own colours (JFIF: BT.601 matrix, full range)."""
    return picture.filter(
        "scale",
        in_color_matrix="bt709",
        in_range="tv",
        out_color_matrix="smpte170m",
        out_range="pc",
    ).filter("format", "yuvj420p")


def _seconds(us: float) -> str:
    return f"{us / 1_000_000:.6f}"


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
