"""Writes a plan as arguments for ffmpeg. Pure: the same plan gives the same arguments.

The settings and the reasons for them were measured (encoder speed, size, stepping, true times):

- a key frame every 12 frames makes stepping fast at a fifth more bytes;
- `-fps_mode passthrough` with a time base of our own keeps every frame at its true time: the
  default doubled and moved frames of variable-rate files by up to 15 ms;
- the `fps` filter would label frames of a 240-a-second source wrongly; `select` on the time
  since the last frame kept does not.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ffmpeg

from media_tools.prepare.renditions import Plan, Rendition
from media_tools.reading import demuxer_options
from media_tools.source import Source

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
    given = ffmpeg.input(
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
        *ffmpeg.merge_outputs(*outputs).get_args(),
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
    return ffmpeg.output(
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
    return ffmpeg.output(photo, f"file:{out_dir / POSTER}", **_PICTURE)


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
    return ffmpeg.output(tiled, f"file:{out_dir / STRIP}", **_PICTURE)


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
