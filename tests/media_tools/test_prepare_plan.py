"""Plans and the arguments they become: pure functions, kept word for word."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from media_tools.colour import Colour
from media_tools.orientation import Orientation
from media_tools.prepare import Rendition, build, plan
from media_tools.prepare.renditions import fit
from media_tools.source import Source


def phone(count: int = 480, rate: int = 240) -> Source:
    """A landscape slow-motion clip as a phone writes it."""
    times = np.array([round(i * 1e6 / rate) for i in range(count)], dtype=np.int64)
    return Source(
        size_bytes=1,
        container="mov",
        video_codec="hevc",
        video_index=0,
        coded_width_px=1920,
        coded_height_px=1080,
        sample_aspect=Fraction(1),
        width_px=1920,
        height_px=1080,
        orientation=Orientation(),
        pixel_format="yuv420p",
        colour=Colour(1, 1, 1),
        time_base=Fraction(1, 600),
        start_us=0,
        duration_us=round(count * 1e6 / rate),
        rate_hz=float(rate),
        has_audio=True,
        audio_codec="aac",
        audio_index=1,
        cut_short=False,
        times_us=times,
        key_times_us=times[::60],
    )


def graph(arguments: list[str]) -> str:
    return arguments[arguments.index("-filter_complex") + 1]


def test_the_arguments_for_a_phones_slow_motion_word_for_word() -> None:
    source = phone(count=9)
    arguments = build(plan(source, threads=2), Path("/in/clip"), Path("/out"))
    strip_times = [f"{t / 1e6:.6f}-0.0005" for t in source.times_us]
    begun, before = (
        "+".join(f"gte({moment}\\,{time})" for time in strip_times)
        for moment in ("t", "prev_selected_t")
    )
    upright = [
        ":in_color_matrix=bt709:in_range=tv:out_color_matrix=bt709:out_range=tv|",
        "|format=yuv420p|",
        "|setsar=1|",
        "|setparams=color_primaries=bt709:color_trc=bt709:colorspace=bt709:range=tv|",
        "|sidedata=mode=delete|",
    ]
    photo = [
        "|scale=in_color_matrix=bt709:in_range=tv:out_color_matrix=smpte170m:out_range=pc|",
        "|format=yuvj420p|",
    ]
    assert re.sub(r"\[s\d+\]", "|", graph(arguments)).split(";") == [
        "[0:0]scale=1920:1080" + upright[0],
        *upright[1:],
        "|setpts=round(PTS-0.000000/TB)|",
        "|split=2||",
        "[0:1]asetpts=PTS-0.000000/TB|",
        "|atrim=start=0|",
        "|aresample=async=1:first_pts=0|",
        "|aformat=channel_layouts=stereo|mono|",
        "|apad=whole_dur=0.037500|",
        "|atrim=end=0.037500|",
        "|asplit=2||",
        "|select=isnan(prev_selected_t)+gte(t-prev_selected_t\\,1/60-0.0005)|",
        "|scale=1280:720|",
        "|setsar=1|",
        "[0:0]select=gte(t\\,0.012500-0.0005)|",
        "|scale=1280:720" + upright[0],
        *upright[1:],
        *photo,
        f"[0:0]select=gt({begun}\\,{before})|",
        "|metadata=key=cell:mode=add:value=1|",
        "|metadata=direct=1:file=pipe\\\\:1:mode=print|",
        "|scale=160:90" + upright[0],
        *upright[1:],
        *photo,
        "|tile=9x1|",
    ]
    head = arguments[: arguments.index("-filter_complex")]
    assert " ".join(head) == (
        "-y -copyts -max_error_rate 1 -filter_threads 2 -filter_complex_threads 2 "
        "-f mov -format_whitelist mov -noautorotate -protocol_whitelist file,pipe "
        "-threads 2 -i file:/in/clip"
    )
    video = (
        "-f mp4 -ar 48000 -b:a 128k -c:a aac -c:v libx264 -crf 23 -enc_time_base:v 1:60000 "
        "-fps_mode:v passthrough -g 12 -keyint_min 12 -map_chapters -1 -map_metadata -1 "
        "-movflags +faststart -pix_fmt yuv420p -preset veryfast -sc_threshold 0 -threads:v 2 "
        "-video_track_timescale 60000"
    )
    picture = "-f mjpeg -fps_mode passthrough -frames:v 1 -map_chapters -1 -map_metadata -1 -q:v 4"
    outputs = re.sub(r"-map \[s\d+\] ", "", " ".join(arguments))
    assert outputs.endswith(
        f"{video} file:/out/study.mp4 {video} file:/out/watch.mp4 "
        f"{picture} file:/out/poster.jpg {picture} file:/out/strip.jpg"
    )


def test_a_portrait_clip_is_turned_after_it_is_made_smaller() -> None:
    turned = replace(
        phone(),
        orientation=Orientation((0, 1), (-1, 0)),
        coded_width_px=3840,
        coded_height_px=2160,
        width_px=2160,
        height_px=3840,
    )
    wanted = plan(turned, threads=1)
    assert wanted.renditions == (
        Rendition("study", 1080, 1920, most_hz=0),
        Rendition("watch", 720, 1280, most_hz=60),
    )
    text = graph(build(wanted, Path("/in/clip"), Path("/out")))
    assert text.index("scale=1920:1080") < text.index("transpose=clock")
    assert "scale=720:1280" in text


def test_high_dynamic_range_is_mapped_after_it_is_made_smaller() -> None:
    bright = replace(phone(), colour=Colour(9, 9, 18), coded_width_px=3840, coded_height_px=2160)
    text = graph(build(plan(bright, threads=1), Path("/in/clip"), Path("/out")))
    assert text.index("scale=1920:1080") < text.index("tonemap=")
    assert "tonemap" not in graph(build(plan(phone()), Path("/in/clip"), Path("/out")))


def test_without_sound_none_is_written() -> None:
    silent = replace(phone(), has_audio=False, audio_index=-1, audio_codec="")
    arguments = build(plan(silent), Path("/in/clip"), Path("/out"))
    assert "-c:a" not in arguments
    assert "atrim" not in graph(arguments)


def test_only_dense_clips_are_thinned_for_watching() -> None:
    assert "isnan(prev_selected_t)" in graph(build(plan(phone()), Path("/i"), Path("/o")))
    for rate in (24, 30, 60):
        calm = build(plan(phone(rate=rate)), Path("/i"), Path("/o"))
        assert "isnan(prev_selected_t)" not in graph(calm)


@pytest.mark.parametrize(
    ("base", "timescale"),
    [
        (600, 60_000),
        (1_000, 60_000),
        (15_360, 61_440),
        (30_000, 60_000),
        (90_000, 90_000),
        (1_000_000_000, 90_000),
    ],
)
def test_the_clock_written_is_a_multiple_of_the_sources(base: int, timescale: int) -> None:
    assert plan(replace(phone(), time_base=Fraction(1, base))).timescale == timescale


@pytest.mark.parametrize(
    ("size", "box", "fitted"),
    [
        ((1920, 1080), (1280, 720), (1280, 720)),
        ((1080, 1920), (1280, 720), (720, 1280)),
        ((3840, 2160), (1920, 1080), (1920, 1080)),
        ((640, 480), (1280, 720), (640, 480)),
        ((1440, 1080), (1280, 720), (960, 720)),
        ((1000, 1000), (1280, 720), (720, 720)),
        ((321, 181), (1280, 720), (320, 180)),
        ((1, 1), (1280, 720), (2, 2)),
        ((8000, 10), (1280, 720), (1280, 2)),
    ],
)
def test_sizes_fit_their_box_and_are_even(
    size: tuple[int, int], box: tuple[int, int], fitted: tuple[int, int]
) -> None:
    assert fit(*size, box) == fitted


def test_a_clip_of_three_frames_gets_a_strip_of_three() -> None:
    strip = plan(phone(count=3)).strip
    assert (strip.count, strip.width_px, strip.height_px) == (3, 160, 90)
    assert strip.frames_us == (0, 4167, 8333)


def test_a_frame_shown_for_long_fills_several_cells_of_the_strip() -> None:
    times = np.array([0, 10_000, 20_000, 900_000], dtype=np.int64)
    slow = replace(phone(), times_us=times, duration_us=1_000_000)
    strip = plan(slow).strip
    assert strip.frames_us == (20_000,)
    assert strip.cells == (0, 0, 0, 0)


def test_the_same_plan_gives_the_same_arguments() -> None:
    first, second = (build(plan(phone(), 2), Path("/i"), Path("/o")) for _ in range(2))
    assert first == second
