"""Writes a plan as arguments for ffmpeg. Pure: the same plan gives the same arguments.

The settings and the reasons for them were measured (encoder speed, size, stepping, true times):

- a key frame every 12 frames makes stepping fast at a fifth more bytes;
- `-fps_mode passthrough` with a time base of our own keeps every frame at its true time: the
  default doubled and moved frames of variable-rate files by up to 15 ms;
- the `fps` filter would label frames of a 240-a-second source wrongly; `select` on the time
  since the last frame kept does not;
- frames are left out and made smaller before anything else is done to them, and the motion
  picture is made from the small frames: beside the encoding it then costs nothing measurable.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ffmpeg

from media_tools.prepare.renditions import KEPT_EVERY_US, SLACK_US, FirstPlan, StudyPlan
from media_tools.reading import DEFAULT_LIMITS, demuxer_options
from media_tools.source import Source

WATCH, STUDY, POSTER, STRIP = "watch.mp4", "study.mp4", "poster.jpg", "strip.jpg"
MOTION, SAMPLES = "motion.mp4", "sound.raw"
KEY_FRAME_EVERY = 12
SAMPLE_RATE_HZ = 16_000  # of the samples that the peaks of the sound are read from
_SLACK_S = SLACK_US / 1_000_000
_REPORTS = 200  # on the way from beginning to end

_X264 = {
    "c:v": "libx264",
    "crf": 23,
    "pix_fmt": "yuv420p",
    "g": KEY_FRAME_EVERY,
    "keyint_min": KEY_FRAME_EVERY,
    "sc_threshold": 0,
}
_X264_STUDY = {**_X264, "preset": "veryfast"}
# as good as 'veryfast' by SSIM at a fifth more bytes, in half its time: of what 'superfast' leaves
# out, the block tree alone costs twice the bytes where the camera stands still; of what it keeps,
# frames predicted from both sides cost a fifth of its time for a twentieth of the bytes
_X264_WATCH = {**_X264, "preset": "superfast", "x264-params": "mbtree=1:rc-lookahead=10:bframes=0"}
# near lossless: errors stay under what differs from frame to frame by the camera's noise
_X264_GREY = {"c:v": "libx264", "preset": "ultrafast", "crf": 12, "pix_fmt": "gray"}
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


def build_first(plan: FirstPlan, path: Path, out_dir: Path) -> list[str]:
    """The arguments (without the program) that make all of the first step in `out_dir`."""
    source = plan.source
    # decoding is the longest of it: further ahead than the rest asks for, nothing waits for it
    given = _input(source, path, 2 * plan.threads)
    # Each of the three reads the source's frames for itself: a graph with a single input makes
    # ffmpeg 5.1 copy the display matrix to what it writes, and a player would turn it once more.
    frames = given[str(source.video_index)]
    shown = frames
    if plan.thinned:
        since = f"gte(t-prev_selected_t,{_seconds(KEPT_EVERY_US)})"
        shown = shown.filter("select", f"isnan(prev_selected_t)+{since}")
    # as the eye sees it on a moving picture as good as ffmpeg's usual bicubic, a tenth cheaper
    shown = _upright(source, shown, *plan.watch, flags="bilinear")
    shown = shown.filter("setpts", f"round(PTS-{_seconds(source.start_us)}/TB)")
    branches = shown.filter_multi_output("split", 2)
    sounds: list[Any] = [None, None]
    if source.has_audio:
        sound = _sound(source, given, 0, source.duration_us)
        split = sound.filter_multi_output("asplit", 2)
        sounds = [split[0], split[1]]
    outputs = [
        _video(plan, branches[0], sounds[0], out_dir / WATCH),
        _motion(plan, branches[1], out_dir / MOTION),
        *([_samples(sounds[1], out_dir / SAMPLES)] if source.has_audio else []),
        _poster(plan, frames, out_dir / POSTER),
        _strip(plan, frames, out_dir / STRIP),
    ]
    return _arguments(plan, outputs)


def build_study(
    plan: StudyPlan, path: Path, out_dir: Path, search_us: int | None = None
) -> list[str]:
    """The arguments (without the program) that make a study cut in `out_dir`.

    `search_us`: where reading begins, on the source's own clock; None: at its beginning.
    """
    source = plan.source
    given = _input(source, path, plan.threads, search_us)
    first_us = plan.begin_us + source.start_us
    # `trim` ends the run with the cut's last frame, where `select` would read on to the end. It
    # rounds to the source's ticks, which may be as long as a frame: so it gets the next one's time
    ends = {"end": _seconds(source.times_us[plan.last + 1] - SLACK_US)} if plan.goes_on else {}
    frames = given[str(source.video_index)].filter(
        "trim", start=_seconds(first_us - SLACK_US), **ends
    )
    frames = _upright(source, frames, *plan.size)
    frames = frames.filter("setpts", f"round(PTS-{_seconds(first_us)}/TB)")
    sound = _sound(source, given, plan.begin_us, plan.end_us) if source.has_audio else None
    arguments = _arguments(plan, [_video(plan, frames, sound, out_dir / STUDY)])
    if sound is None:
        # a second reader, for the reason told above
        graph = arguments.index("-filter_complex") + 1
        arguments[graph] += f";[0:{source.video_index}]select=0,nullsink"
    return arguments


def _input(source: Source, path: Path, threads: int, search_us: int | None = None) -> Any:
    begin: dict[str, Any] = {}
    if search_us is not None:
        begin = {"seek_timestamp": 1, "noaccurate_seek": None, "ss": _seconds(search_us)}
    return ffmpeg.input(
        f"file:{path}",
        f=source.container,
        **demuxer_options(source.container),
        **begin,
        threads=threads,
        # a picture in the middle may claim another size than the first one, which `look` checked
        max_pixels=DEFAULT_LIMITS.pixels,
        noautorotate=None,
    )


def _arguments(plan: FirstPlan | StudyPlan, outputs: list[Any]) -> list[str]:
    # tones take long to map; all else is too quick to be worth handing out in slices
    threads = plan.threads if plan.source.is_hdr else 1
    merged = ffmpeg.merge_outputs(*outputs) if len(outputs) > 1 else outputs[0]
    return [
        *("-y", "-copyts", "-max_error_rate", "1"),
        *("-filter_threads", str(threads), "-filter_complex_threads", str(threads)),
        *merged.get_args(),
    ]


def _upright(source: Source, stream: Any, width_px: int, height_px: int, **scaling: str) -> Any:
    """Frames as they are shown, SDR, of the given size.

    Made smaller before they are turned and before their tones are mapped: that costs least.
    """
    width_px, height_px = source.orientation.size(width_px, height_px)
    if source.is_hdr:
        stream = stream.filter("scale", width_px, height_px, **scaling)
        for name, options in source.colour.tone_filters():
            stream = stream.filter(name, **options)
        stream = stream.filter("scale", out_color_matrix="bt709", out_range="tv")
    else:
        colours = source.colour.scale_options(
            source.coded_height_px, to_matrix="bt709", to_range="tv"
        )
        stream = stream.filter("scale", width_px, height_px, **colours, **scaling)
    stream = stream.filter("format", "yuv420p")
    for name, argument in source.orientation.filters():
        stream = stream.filter(name, *([argument] if argument else []))
    stream = stream.filter("setsar", 1)
    stream = stream.filter("setparams", **_BT709)
    # newer releases hand the display matrix on with the frames
    return stream.filter("sidedata", mode="delete")


def _sound(source: Source, given: Any, begin_us: int, end_us: int) -> Any:
    """The sound from begin to end, silent where the source has none."""
    begin, length = _seconds(source.start_us + begin_us), _seconds(end_us - begin_us)
    return (
        given[str(source.audio_index)]
        .filter("asetpts", f"PTS-{begin}/TB")
        .filter("atrim", start=0, end=length)
        .filter("aresample", **{"async": 1, "first_pts": 0})
        .filter("aformat", channel_layouts="stereo|mono")
        .filter("apad", whole_dur=length)
        .filter("atrim", end=length)
    )


def _video(plan: FirstPlan | StudyPlan, picture: Any, sound: Any, path: Path) -> Any:
    return ffmpeg.output(
        *([picture] if sound is None else [picture, sound]),
        f"file:{path}",
        **(_X264_WATCH if isinstance(plan, FirstPlan) else _X264_STUDY),
        **({} if sound is None else _AAC),
        **_NAMELESS,
        **_true_times(plan),
        **{"movflags": "+faststart", "threads:v": plan.threads},
    )


def _true_times(plan: FirstPlan | StudyPlan) -> dict[str, Any]:
    return {
        "f": "mp4",
        "fps_mode:v": "passthrough",
        "enc_time_base:v": f"1:{plan.timescale}",
        "video_track_timescale": plan.timescale,
    }


def _motion(plan: FirstPlan, picture: Any, path: Path) -> Any:
    """The small grey picture; its frames also tell how far the run is.

    ffmpeg itself reports nothing before every output has begun, and the strip begins with its
    last cell.
    """
    every = max(1, plan.frame_count // _REPORTS)
    small = picture.filter("scale", *plan.motion, flags="area").filter("format", "gray")
    small = small.filter("metadata", mode="add", key="seen", value=1)
    small = small.filter(
        "metadata", mode="print", file="pipe:1", direct=1, enable=f"not(mod(n,{every}))"
    )
    return ffmpeg.output(
        small, f"file:{path}", **_X264_GREY, **_NAMELESS, **_true_times(plan), **{"threads:v": 1}
    )


def _samples(sound: Any, path: Path) -> Any:
    plain = {"f": "s16le", "c:a": "pcm_s16le", "ar": SAMPLE_RATE_HZ, "ac": 1}
    return ffmpeg.output(sound, f"file:{path}", **plain)


def _poster(plan: FirstPlan, picture: Any, path: Path) -> Any:
    wanted = _seconds(plan.source.start_us + plan.poster_us)
    picture = picture.filter("select", f"isnan(prev_selected_t)*gte(t,{wanted}-{_SLACK_S})")
    photo = _photo(_upright(plan.source, picture, *plan.poster))
    return ffmpeg.output(photo, f"file:{path}", **_PICTURE)


def _strip(plan: FirstPlan, picture: Any, path: Path) -> Any:
    """Each wanted frame once, side by side; `run` repeats those that fill several cells."""
    strip = plan.strip
    times = [_seconds(plan.source.start_us + t_us) for t_us in strip.frames_us]

    def begun(moment: str) -> str:
        return "+".join(f"gte({moment},{time}-{_SLACK_S})" for time in times)

    # one frame for each time passed: where one can't be decoded, the next takes its cell
    picture = picture.filter("select", f"gt({begun('t')},{begun('prev_selected_t')})")
    cells = _photo(_upright(plan.source, picture, strip.width_px, strip.height_px))
    tiled = cells.filter("tile", f"{len(strip.frames_us)}x1")
    return ffmpeg.output(tiled, f"file:{path}", **_PICTURE)


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
