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
from media_tools.prepare import build_first, build_study, plan_first, plan_study
from media_tools.prepare.renditions import fit, searches_us
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


UPRIGHT = [
    ":in_color_matrix=bt709:in_range=tv:out_color_matrix=bt709:out_range=tv|",
    "|format=yuv420p|",
    "|setsar=1|",
    "|setparams=color_primaries=bt709:color_trc=bt709:colorspace=bt709:range=tv|",
    "|sidedata=mode=delete|",
]
PHOTO = [
    "|scale=in_color_matrix=bt709:in_range=tv:out_color_matrix=smpte170m:out_range=pc|",
    "|format=yuvj420p|",
]
STUDIED = "-preset veryfast -sc_threshold 0 -threads:v 2 -video_track_timescale 60000"
WATCHED = f"{STUDIED.replace('very', 'super')} -x264-params mbtree=1:rc-lookahead=10:bframes=0"
VIDEO = (
    "-f mp4 -ar 48000 -b:a 128k -c:a aac -c:v libx264 -crf 23 -enc_time_base:v 1:60000 "
    "-fps_mode:v passthrough -g 12 -keyint_min 12 -map_chapters -1 -map_metadata -1 "
    "-movflags +faststart -pix_fmt yuv420p"
)


def sound(length: str, begin: str = "0.000000") -> list[str]:
    """The filters for sound of a length in seconds."""
    return [
        f"[0:1]asetpts=PTS-{begin}/TB|",
        f"|atrim=end={length}:start=0|",
        "|aresample=async=1:first_pts=0|",
        "|aformat=channel_layouts=stereo|mono|",
        f"|apad=whole_dur={length}|",
        f"|atrim=end={length}|",
    ]


def chains(arguments: list[str]) -> list[str]:
    """The filters, with `|` for the names of what goes in and out."""
    return re.sub(r"\[s\d+\]", "|", graph(arguments)).split(";")


def test_the_arguments_of_the_first_step_word_for_word() -> None:
    source = phone(count=9)
    arguments = build_first(plan_first(source, threads=2), Path("/in/clip"), Path("/out"))
    strip_times = [f"{t / 1e6:.6f}-0.0005" for t in source.times_us]
    begun, before = (
        "+".join(f"gte({moment}\\,{time})" for time in strip_times)
        for moment in ("t", "prev_selected_t")
    )
    assert chains(arguments) == [
        "[0:0]select=isnan(prev_selected_t)+gte(t-prev_selected_t\\,0.015967)|",
        "|scale=1280:720:flags=bilinear" + UPRIGHT[0],
        *UPRIGHT[1:],
        "|setpts=round(PTS-0.000000/TB)|",
        "|split=2||",
        *sound("0.037500"),
        "|asplit=2||",
        "|scale=160:90:flags=area|",
        "|format=gray|",
        "|metadata=key=seen:mode=add:value=1|",
        "|metadata=direct=1:enable=not(mod(n\\,1)):file=pipe\\\\:1:mode=print|",
        "[0:0]select=isnan(prev_selected_t)*gte(t\\,0.012500-0.0005)|",
        "|scale=1280:720" + UPRIGHT[0],
        *UPRIGHT[1:],
        *PHOTO,
        f"[0:0]select=gt({begun}\\,{before})|",
        "|scale=160:90" + UPRIGHT[0],
        *UPRIGHT[1:],
        *PHOTO,
        "|tile=9x1|",
    ]
    head = arguments[: arguments.index("-filter_complex")]
    assert " ".join(head) == (
        "-y -copyts -max_error_rate 1 -filter_threads 1 -filter_complex_threads 1 "
        "-f mov -format_whitelist mov -max_pixels 36000000 -noautorotate "
        "-protocol_whitelist file,pipe -threads 4 -i file:/in/clip"
    )
    nameless = "-map_chapters -1 -map_metadata -1"
    picture = f"-f mjpeg -fps_mode passthrough -frames:v 1 {nameless} -q:v 4"
    motion = (
        f"-f mp4 -c:v libx264 -crf 12 -enc_time_base:v 1:60000 -fps_mode:v passthrough {nameless} "
        "-pix_fmt gray -preset ultrafast -threads:v 1 -video_track_timescale 60000"
    )
    outputs = re.sub(r"-map \[s\d+\] ", "", " ".join(arguments))
    assert outputs.endswith(
        f"{VIDEO} {WATCHED} file:/out/watch.mp4 {motion} file:/out/motion.mp4 "
        "-f s16le -ac 1 -ar 16000 -c:a pcm_s16le file:/out/sound.raw "
        f"{picture} file:/out/poster.jpg {picture} file:/out/strip.jpg"
    )


def test_the_arguments_of_a_study_cut_word_for_word() -> None:
    wanted = plan_study(phone(), 1_000_000, 1_500_000, threads=2)
    arguments = build_study(wanted, Path("/in/clip"), Path("/out"), 1_001_000)
    assert chains(arguments) == [
        "[0:0]trim=end=1.503667:start=0.999500|",
        "|scale=1920:1080" + UPRIGHT[0],
        *UPRIGHT[1:],
        "|setpts=round(PTS-1.000000/TB)|",
        *sound("0.504167", "1.000000"),
    ]
    head = arguments[: arguments.index("-filter_complex")]
    assert " ".join(head) == (
        "-y -copyts -max_error_rate 1 -filter_threads 1 -filter_complex_threads 1 "
        "-f mov -format_whitelist mov -max_pixels 36000000 -noaccurate_seek -noautorotate "
        "-protocol_whitelist file,pipe -seek_timestamp 1 -ss 1.001000 -threads 2 -i file:/in/clip"
    )
    outputs = re.sub(r"-map \[s\d+\] ", "", " ".join(arguments))
    assert outputs.endswith(f"{VIDEO} {STUDIED} file:/out/study.mp4")


def test_a_cut_is_sought_from_the_key_frame_before_it() -> None:
    source = phone(count=240 * 60)  # a key frame every 0.25 s

    def places(begin_us: int, **changes: object) -> tuple[int | None, ...]:
        return searches_us(plan_study(replace(source, **changes), begin_us, begin_us + 1))  # type: ignore[arg-type]

    assert places(30_100_000) == (30_001_000, 20_000_000, None)
    assert places(5_100_000) == (5_001_000, None)
    assert places(100_000) == (None,)
    assert places(30_100_000, container="mpegts") == (20_000_000, None)
    assert places(30_100_000, key_times_us=source.times_us[:0]) == (None,)


def test_a_portrait_clip_is_turned_after_it_is_made_smaller() -> None:
    turned = replace(
        phone(),
        orientation=Orientation((0, 1), (-1, 0)),
        coded_width_px=3840,
        coded_height_px=2160,
        width_px=2160,
        height_px=3840,
    )
    first, cut = plan_first(turned, threads=1), plan_study(turned, 0, 1)
    assert (first.watch, first.motion, cut.size) == ((720, 1280), (90, 160), (1080, 1920))
    for text, size in (
        (graph(build_first(first, Path("/in/clip"), Path("/out"))), "1280:720"),
        (graph(build_study(cut, Path("/in/clip"), Path("/out"))), "1920:1080"),
    ):
        assert text.index(f"scale={size}") < text.index("transpose=clock")


def test_high_dynamic_range_is_mapped_after_it_is_made_smaller() -> None:
    bright = replace(phone(), colour=Colour(9, 9, 18), coded_width_px=3840, coded_height_px=2160)
    text = graph(build_first(plan_first(bright, threads=1), Path("/in/clip"), Path("/out")))
    assert text.index("scale=1280:720") < text.index("tonemap=")
    plain = build_first(plan_first(phone()), Path("/in/clip"), Path("/out"))
    assert "tonemap" not in graph(plain)


def test_without_sound_none_is_written() -> None:
    silent = replace(phone(), has_audio=False, audio_index=-1, audio_codec="")
    for arguments in (
        build_first(plan_first(silent), Path("/in/clip"), Path("/out")),
        build_study(plan_study(silent, 0, 1), Path("/in/clip"), Path("/out")),
    ):
        assert "-c:a" not in arguments
        assert "atrim" not in graph(arguments)


def test_only_dense_clips_are_thinned_for_watching() -> None:
    assert plan_first(phone()).frame_count == 120
    for rate in (24, 30, 60):
        wanted = plan_first(phone(rate=rate))
        assert "isnan(prev_selected_t)+" not in graph(build_first(wanted, Path("/i"), Path("/o")))
        assert wanted.frame_count == 480


@pytest.mark.parametrize(
    ("asked_us", "frames", "shown_us"),
    [
        ((0, 0), (0, 0), (0, 4_167)),
        ((-9, 4_166), (0, 0), (0, 4_167)),
        ((4_167, 8_332), (1, 1), (4_167, 8_333)),
        ((4_166, 8_333), (0, 2), (0, 12_500)),
        ((1_999_000, 99_000_000), (479, 479), (1_995_833, 2_000_000)),
    ],
)
def test_a_cut_goes_from_the_frame_at_its_begin_to_the_frame_at_its_end(
    asked_us: tuple[int, int], frames: tuple[int, int], shown_us: tuple[int, int]
) -> None:
    wanted = plan_study(phone(), *asked_us)
    assert (wanted.first, wanted.last) == frames
    assert (wanted.begin_us, wanted.end_us) == shown_us
    assert wanted.times_us.tolist() == phone().times_us[frames[0] : frames[1] + 1].tolist()


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
    source = replace(phone(), time_base=Fraction(1, base))
    assert plan_first(source).timescale == plan_study(source, 0, 1).timescale == timescale


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
    strip = plan_first(phone(count=3)).strip
    assert (strip.count, strip.width_px, strip.height_px) == (3, 160, 90)
    assert strip.frames_us == (0, 4167, 8333)


def test_a_frame_shown_for_long_fills_several_cells_of_the_strip() -> None:
    times = np.array([0, 10_000, 20_000, 900_000], dtype=np.int64)
    slow = replace(phone(), times_us=times, duration_us=1_000_000)
    strip = plan_first(slow).strip
    assert strip.frames_us == (20_000,)
    assert strip.cells == (0, 0, 0, 0)


def test_the_same_plan_gives_the_same_arguments() -> None:
    first, second = (build_first(plan_first(phone()), Path("/i"), Path("/o")) for _ in range(2))
    assert first == second
