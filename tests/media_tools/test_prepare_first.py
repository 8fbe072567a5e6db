"""What lets a clip be watched, judged by Debian's ffprobe and by the numbers in its frames."""

from __future__ import annotations

import errno
import json
import os
from bisect import bisect_right
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from media_tools import boxes, errors, ffmpeg
from media_tools.prepare import First, first, plan_first
from media_tools.prepare.made import verify_first
from media_tools.source import look
from tests.media_tools.clips import (
    WHEEL_FFMPEG,
    Recipe,
    ffprobe,
    frame_times_us,
    make,
    numbers,
    read_corners,
    read_number,
    run_wheel,
)
from tests.media_tools.recipes import RECIPES

Clip = Callable[[str], Path]
Made = Callable[[str], First]
FILES = {"watch.mp4", "motion.mp4", "poster.jpg", "strip.jpg", "peaks.json"}


@pytest.mark.parametrize("name", RECIPES)
def test_the_watch_rendition_shows_the_right_frame_at_each_time(
    clip: Clip, made: Made, name: str
) -> None:
    before, after = frame_times_us(clip(name)), frame_times_us(made(name).watch)
    offset_us = made(name).offset_us
    wanted = [bisect_right(before, t + offset_us + 100) - 1 for t in after]
    shown = RECIPES[name].numbers
    assert numbers(made(name).watch) == [shown[index] for index in wanted]
    rate = Fraction(RECIPES[name].rate) if name != "stretched" else 30
    assert len(after) == len(shown) / max(1, rate // 60)
    assert np.diff(after).min(initial=20_000) >= 15_900
    assert after[0] == 0


@pytest.mark.parametrize("name", RECIPES)
def test_it_lists_when_every_frame_of_the_source_is_shown(
    clip: Clip, made: Made, name: str
) -> None:
    result = made(name)
    assert (result.times_us + result.offset_us).tolist() == frame_times_us(clip(name))
    assert (result.missing_frames, result.cut_short) == (0, False)
    assert {path.name for path in result.watch.parent.iterdir()} == FILES


@pytest.mark.parametrize("name", RECIPES)
def test_the_watch_rendition_is_what_every_browser_plays(made: Made, name: str) -> None:
    streams = ffprobe(made(name).watch, "-show_streams")["streams"]
    picture = streams[0]
    assert (picture["codec_name"], picture["pix_fmt"]) == ("h264", "yuv420p")
    assert (picture["width"], picture["height"]) == RECIPES[name].upright
    assert picture.get("sample_aspect_ratio", "1:1") == "1:1"
    assert not picture.get("side_data_list")
    assert picture["color_transfer"] == picture["color_space"] == "bt709"
    assert picture["color_range"] == "tv"
    assert made(name).has_sound == bool(RECIPES[name].sound)
    assert len(streams) == 1 + made(name).has_sound
    if made(name).has_sound:
        assert (streams[1]["codec_name"], streams[1]["sample_rate"]) == ("aac", "48000")
    assert boxes.read_structure(made(name).watch).index_first


@pytest.mark.parametrize("name", RECIPES)
def test_they_stand_upright(made: Made, name: str) -> None:
    with av.open(str(made(name).watch)) as container:
        assert read_corners(next(container.decode(video=0)).to_image()) == "rgb"
    with Image.open(made(name).poster) as poster:
        assert read_corners(poster) == "rgb"


@pytest.mark.parametrize("name", RECIPES)
def test_the_motion_picture_has_the_frames_of_the_watch_rendition(made: Made, name: str) -> None:
    result = made(name)
    assert frame_times_us(result.motion) == frame_times_us(result.watch)
    assert numbers(result.motion) == numbers(result.watch)
    streams = ffprobe(result.motion, "-show_streams")["streams"]
    assert [s["codec_type"] for s in streams] == ["video"]
    assert streams[0]["color_range"] == "pc"
    sides = sorted((streams[0]["width"], streams[0]["height"]))
    assert sides[1] <= 160
    assert sides[0] <= 90


def test_the_motion_picture_is_grey_and_nearly_lossless(made: Made) -> None:
    with av.open(str(made("h264").watch)) as watch, av.open(str(made("h264").motion)) as motion:
        for large, small in zip(watch.decode(video=0), motion.decode(video=0), strict=True):
            shown = np.asarray(small.to_image(), dtype=int)
            assert np.ptp(shown, axis=2).max() <= 1
            luma = large.to_ndarray()[:180].astype(float)  # planar 4:2:0, limited range
            halved = (luma.reshape(90, 2, 160, 2).mean(axis=(1, 3)) - 16) * 255 / 219
            assert np.abs(shown[..., 0] - halved).mean() < 2


@pytest.mark.parametrize("name", RECIPES)
def test_the_poster_is_the_frame_a_third_in(clip: Clip, made: Made, name: str) -> None:
    source = look(clip(name))
    third_us = source.start_us + round(source.duration_us / 3)
    third = bisect_right(frame_times_us(clip(name)), third_us) - 1
    with Image.open(made(name).poster) as poster:
        assert read_number(poster) == RECIPES[name].numbers[third]
        assert poster.size == (made(name).width_px, made(name).height_px)


@pytest.mark.parametrize("name", RECIPES)
def test_each_cell_of_the_strip_shows_the_middle_of_its_part(
    clip: Clip, made: Made, name: str
) -> None:
    source = look(clip(name))
    times, shown = frame_times_us(clip(name)), RECIPES[name].numbers
    with Image.open(made(name).strip) as strip:
        count = made(name).strip_count
        assert count == min(24, len(shown))
        width_px = strip.width // count
        for cell in range(count):
            box = (cell * width_px, 0, (cell + 1) * width_px, strip.height)
            at_us = source.start_us + source.duration_us * (cell + 0.5) / count
            assert read_number(strip.crop(box)) == shown[bisect_right(times, at_us) - 1]


@pytest.mark.parametrize("name", ["h264", "late-sound", "late-start", "mts", "3gp", "early-sound"])
def test_sound_begins_and_ends_with_the_picture(made: Made, name: str) -> None:
    streams = ffprobe(made(name).watch, "-show_streams")["streams"]
    for stream in streams:
        assert float(stream["start_time"]) == pytest.approx(0, abs=0.001)
        assert float(stream["duration"]) == pytest.approx(1.6 if name != "mts" else 2.4, abs=0.05)


def test_late_sound_stays_late(made: Made) -> None:
    raw = run_wheel("-i", str(made("late-sound").watch), "-ac", "1", "-f", "f32le", "-")
    sound = np.abs(np.frombuffer(raw, np.float32))
    begins_s = int(np.argmax(sound > 0.02)) / 48_000
    assert begins_s == pytest.approx(0.4, abs=0.03)


def test_the_peaks_show_when_it_is_loud(made: Made) -> None:
    told = json.loads(made("late-sound").peaks.read_text())
    step_s = told["step_us"] / 1_000_000
    assert step_s == 0.01
    assert len(told["peaks"]) == 160
    loud = [k * step_s for k, peak in enumerate(told["peaks"]) if peak > 0.02 * told["full_scale"]]
    assert loud[0] == pytest.approx(0.4, abs=0.03)
    # a sine of ffmpeg's 'sine' source has an amplitude of 1/8
    assert max(told["peaks"]) == pytest.approx(125, abs=10)


def test_without_sound_there_are_no_peaks(made: Made) -> None:
    assert json.loads(made("silent").peaks.read_text())["peaks"] == []


def test_nothing_that_names_a_place_or_a_device_goes_out(clip: Clip, tmp_path: Path) -> None:
    told = tmp_path / "told.mov"
    secrets = {
        "location": "+47.1234+008.5678/",
        "com.apple.quicktime.location.ISO6709": "+47.1234+008.5678/",
        "com.apple.quicktime.model": "Telephone 99",
        "make": "Maker",
        "title": "Student's name",
        "creation_time": "2026-01-02T03:04:05Z",
    }
    tags = [part for key, value in secrets.items() for part in ("-metadata", f"{key}={value}")]
    run_wheel(
        *("-i", str(clip("h264")), "-c", "copy", "-movflags", "use_metadata_tags", *tags),
        *("-metadata:s:v", "handler_name=Student's name", str(told)),
    )
    assert b"+47.1234" in told.read_bytes()
    result = first(told, look(told), tmp_path / "out")
    for path in result.watch.parent.iterdir():
        data = path.read_bytes()
        for secret in (b"47.1234", b"Telephone", b"Maker", b"Student", b"2026"):
            assert secret not in data
    written = ffprobe(result.watch, "-show_format")["format"]["tags"]
    assert set(written) <= {"major_brand", "minor_version", "compatible_brands", "encoder"}


def test_large_pictures_are_made_to_fit(tmp_path: Path) -> None:
    recipe = Recipe(size=(1440, 2560), frames=4, codec=("-c:v", "mjpeg", "-q:v", "9"), ending="mov")
    path = make(tmp_path / "large.mov", recipe)
    result = first(path, look(path), tmp_path / "out")
    assert (result.width_px, result.height_px) == (1080, 1920)
    watch = ffprobe(result.watch, "-show_streams")["streams"][0]
    assert (watch["width"], watch["height"]) == (720, 1280)
    assert numbers(result.watch) == [0, 1, 2, 3]


def test_progress_only_grows_and_ends_at_one(clip: Clip, tmp_path: Path) -> None:
    seen: list[float] = []
    first(clip("hevc-240"), look(clip("hevc-240")), tmp_path, on_progress=seen.append)
    assert seen == sorted(seen)
    assert seen[-1] == 1.0
    assert all(0 < fraction <= 1 for fraction in seen)
    assert len(seen) >= 30  # all along, not only at the end


@pytest.mark.parametrize("name", ["hevc-240", "h264-variable", "turned-silent", "hlg", "mts"])
def test_the_ffmpeg_of_the_wheel_makes_the_same(
    clip: Clip, made: Made, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setenv(ffmpeg.OVERRIDE, WHEEL_FFMPEG)
    result = first(clip(name), look(clip(name)), tmp_path)
    assert numbers(result.watch) == numbers(made(name).watch)
    assert numbers(result.motion) == numbers(made(name).watch)
    with Image.open(result.poster) as poster:
        assert read_corners(poster) == "rgb"


@pytest.mark.parametrize("name", ["few-keys", "mkv", "webm", "avi", "mts"])
def test_a_movie_cut_short_is_prepared_up_to_the_cut(clip: Clip, tmp_path: Path, name: str) -> None:
    whole = clip(name)
    if whole.suffix == ".mp4":
        whole = tmp_path / "whole.mp4"
        run_wheel("-i", str(clip(name)), "-c", "copy", "-movflags", "+faststart", str(whole))
    data = whole.read_bytes()
    path = tmp_path / f"cut{whole.suffix}"
    path.write_bytes(data[: len(data) * 2 // 3])
    result = first(path, look(path), tmp_path / "out")
    assert result.cut_short == (name != "mts")  # a transport stream does not say how long it is
    shown = numbers(result.watch)
    # in the last group before the cut some frames lean on ones that are gone
    assert shown[: len(RECIPES[name].numbers) * 2 // 5] == list(
        range(len(RECIPES[name].numbers) * 2 // 5)
    )
    assert shown == sorted(set(shown))
    assert len(shown) < RECIPES[name].frames


def test_broken_sound_does_not_cost_the_picture(clip: Clip, tmp_path: Path) -> None:
    data = bytearray(clip("odd").read_bytes())
    codebooks = data.index(b"\x05vorbis") + 20
    data[codebooks : codebooks + 40] = b"\x55" * 40
    path = tmp_path / "croak.mkv"
    path.write_bytes(data)
    source = look(path)
    result = first(path, source, tmp_path / "out")
    assert source.has_audio
    assert not result.has_sound
    assert numbers(result.watch) == list(range(48))


def test_a_full_disk_is_told_as_such(
    clip: Clip, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(errors.NoRoom):
        first(clip("silent"), look(clip("silent")), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_left_when_it_is_stopped(clip: Clip, tmp_path: Path) -> None:
    source = look(clip("hevc-240"))
    with pytest.raises(errors.Stopped):
        first(clip("hevc-240"), source, tmp_path / "out", should_stop=lambda: True, threads=1)
    assert list((tmp_path / "out").iterdir()) == []


def test_a_result_that_is_not_what_was_planned_is_found_out(clip: Clip, made: Made) -> None:
    folder = made("h264").watch.parent
    verify_first(plan_first(look(clip("h264"))), folder)
    for other, kind in (
        ("h264-variable", errors.Unreadable),
        ("portrait", errors.ToolFailed),
        ("hevc-240", errors.Unreadable),
    ):
        with pytest.raises(kind):
            verify_first(plan_first(look(clip(other))), folder)


def test_a_result_that_is_cut_off_is_found_out(clip: Clip, made: Made, tmp_path: Path) -> None:
    wanted = plan_first(look(clip("silent")))
    parts = [p for p in made("silent").watch.parent.iterdir() if p.suffix != ".json"]
    for broken in parts:
        for part in parts:
            data = part.read_bytes()
            kept = data[: len(data) // 2] if part is broken else data
            (tmp_path / part.name).write_bytes(kept)
        with pytest.raises(errors.ToolFailed):
            verify_first(wanted, tmp_path)


def test_hostile_names_of_files_and_folders_do_no_harm(clip: Clip, tmp_path: Path) -> None:
    folder = tmp_path / "-y %03d 'quoted' [0:v];é\n:x スイング 🏌"
    folder.mkdir()
    path = folder / "-i concat:a|b %d.mp4"
    path.write_bytes(clip("silent").read_bytes())
    result = first(path, look(path), folder / "out,put")
    assert result.watch.is_file()
    assert sorted(p.name for p in folder.iterdir()) == ["-i concat:a|b %d.mp4", "out,put"]
