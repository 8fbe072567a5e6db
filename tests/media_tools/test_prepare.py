"""What `prepare` makes, judged by Debian's ffprobe and by the numbers drawn into the frames."""

from __future__ import annotations

import errno
import os
from bisect import bisect_right
from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from media_tools import boxes, errors, ffmpeg
from media_tools.prepare import Prepared, plan, prepare
from media_tools.prepare.run import verify
from media_tools.source import look
from tests.media_tools.clips import (
    WHEEL_FFMPEG,
    Recipe,
    ffprobe,
    frame_times_us,
    make,
    read_corners,
    read_number,
    run_wheel,
)
from tests.media_tools.conftest import RECIPES

Clip = Callable[[str], Path]


@pytest.fixture(scope="module")
def made(clip: Clip, tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Prepared]:
    """What was made of a clip, by its name; each is made once."""
    shelf: dict[str, Prepared] = {}

    def get(name: str) -> Prepared:
        if name not in shelf:
            folder = tmp_path_factory.mktemp("made")
            shelf[name] = prepare(clip(name), look(clip(name)), folder)
        return shelf[name]

    return get


def numbers(path: Path) -> list[int]:
    """The number shown by each frame, in the order they are shown."""
    with av.open(str(path)) as container:
        return [read_number(frame.to_image()) for frame in container.decode(video=0)]


@pytest.mark.parametrize("name", RECIPES)
def test_the_study_rendition_keeps_every_frame_at_its_true_time(
    clip: Clip, made: Callable[[str], Prepared], name: str
) -> None:
    before, after = frame_times_us(clip(name)), frame_times_us(made(name).study)
    assert numbers(made(name).study) == list(range(RECIPES[name].frames))
    assert len(after) == len(before)
    moved = np.array(before) - made(name).offset_us - np.array(after)
    assert np.abs(moved).max() <= 20  # of the 1,000 us that are promised
    assert made(name).study_times_us == after
    assert after[0] == 0
    assert made(name).missing_frames == 0


@pytest.mark.parametrize("name", RECIPES)
def test_the_watch_rendition_shows_the_right_frame_at_each_time(
    clip: Clip, made: Callable[[str], Prepared], name: str
) -> None:
    before, after = frame_times_us(clip(name)), frame_times_us(made(name).watch)
    offset_us = made(name).offset_us
    wanted = [bisect_right(before, t + offset_us + 100) - 1 for t in after]
    assert numbers(made(name).watch) == wanted
    if name == "hevc-240":
        assert len(after) == RECIPES[name].frames // 4
        assert min(np.diff(after)) >= 16_000
    else:
        assert len(after) == RECIPES[name].frames


@pytest.mark.parametrize("name", RECIPES)
def test_the_renditions_are_what_every_browser_plays(
    made: Callable[[str], Prepared], name: str
) -> None:
    for path in (made(name).watch, made(name).study):
        streams = ffprobe(path, "-show_streams")["streams"]
        picture = streams[0]
        size = (picture["width"], picture["height"])
        assert (picture["codec_name"], picture["pix_fmt"]) == ("h264", "yuv420p")
        assert size == (RECIPES[name].size if name not in {"odd", "wide-pixels"} else (320, 180))
        assert picture.get("sample_aspect_ratio", "1:1") == "1:1"
        assert not picture.get("side_data_list")
        assert picture["color_transfer"] == picture["color_space"] == "bt709"
        assert picture["color_range"] == "tv"
        assert len(streams) == (1 if not RECIPES[name].sound else 2)
        if len(streams) == 2:
            assert (streams[1]["codec_name"], streams[1]["sample_rate"]) == ("aac", "48000")
        assert boxes.read_structure(path).index_first


@pytest.mark.parametrize("name", RECIPES)
def test_they_stand_upright(made: Callable[[str], Prepared], name: str) -> None:
    with av.open(str(made(name).watch)) as container:
        assert read_corners(next(container.decode(video=0)).to_image()) == "rgb"
    with Image.open(made(name).poster) as poster:
        assert read_corners(poster) == "rgb"


@pytest.mark.parametrize("name", RECIPES)
def test_the_poster_is_the_frame_a_third_in(
    clip: Clip, made: Callable[[str], Prepared], name: str
) -> None:
    source = look(clip(name))
    third = (
        bisect_right(frame_times_us(clip(name)), source.start_us + round(source.duration_us / 3))
        - 1
    )
    with Image.open(made(name).poster) as poster:
        assert read_number(poster) == third
        assert poster.size == (made(name).width_px, made(name).height_px)


@pytest.mark.parametrize("name", RECIPES)
def test_each_cell_of_the_strip_shows_the_middle_of_its_part(
    clip: Clip, made: Callable[[str], Prepared], name: str
) -> None:
    source = look(clip(name))
    times = frame_times_us(clip(name))
    with Image.open(made(name).strip) as strip:
        count = made(name).strip_count
        assert count == min(24, RECIPES[name].frames)
        width_px = strip.width // made(name).strip_columns
        for cell in range(count):
            box = (cell * width_px, 0, (cell + 1) * width_px, strip.height)
            at_us = source.start_us + source.duration_us * (cell + 0.5) / count
            wanted = bisect_right(times, at_us) - 1
            assert read_number(strip.crop(box)) == wanted


def test_a_key_frame_comes_every_twelve(made: Callable[[str], Prepared]) -> None:
    answer = ffprobe(
        made("hevc-240").study, "-select_streams", "v", "-show_entries", "packet=flags,pts"
    )
    packets = sorted(answer["packets"], key=lambda packet: packet["pts"])
    keys = [index for index, packet in enumerate(packets) if "K" in packet["flags"]]
    assert keys == list(range(0, 120, 12))


@pytest.mark.parametrize("name", ["h264", "late-sound", "late-start", "mts", "3gp"])
def test_sound_begins_and_ends_with_the_picture(made: Callable[[str], Prepared], name: str) -> None:
    streams = ffprobe(made(name).watch, "-show_streams")["streams"]
    for stream in streams:
        assert float(stream["start_time"]) == pytest.approx(0, abs=0.001)
        assert float(stream["duration"]) == pytest.approx(1.6 if name != "mts" else 2.4, abs=0.05)


def test_late_sound_stays_late(made: Callable[[str], Prepared]) -> None:
    raw = run_wheel("-i", str(made("late-sound").study), "-ac", "1", "-f", "f32le", "-")
    sound = np.abs(np.frombuffer(raw, np.float32))
    begins_s = int(np.argmax(sound > 0.02)) / 48_000
    assert begins_s == pytest.approx(0.4, abs=0.03)


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
    result = prepare(told, look(told), tmp_path / "out")
    for path in (result.watch, result.study, result.poster, result.strip):
        data = path.read_bytes()
        for secret in (b"47.1234", b"Telephone", b"Maker", b"Student", b"2026"):
            assert secret not in data
    tags = ffprobe(result.study, "-show_format")["format"]["tags"]
    assert set(tags) <= {"major_brand", "minor_version", "compatible_brands", "encoder"}


def test_large_pictures_are_made_to_fit(tmp_path: Path) -> None:
    recipe = Recipe(size=(1440, 2560), frames=4, codec=("-c:v", "mjpeg", "-q:v", "9"), ending="mov")
    path = make(tmp_path / "large.mov", recipe)
    result = prepare(path, look(path), tmp_path / "out")
    assert (result.width_px, result.height_px) == (1080, 1920)
    watch = ffprobe(result.watch, "-show_streams")["streams"][0]
    assert (watch["width"], watch["height"]) == (720, 1280)
    assert numbers(result.watch) == [0, 1, 2, 3]


def test_progress_only_grows_and_ends_at_one(clip: Clip, tmp_path: Path) -> None:
    seen: list[float] = []
    prepare(clip("hevc-240"), look(clip("hevc-240")), tmp_path, seen.append)
    assert seen == sorted(seen)
    assert seen[-1] == 1.0
    assert all(0 < fraction <= 1 for fraction in seen)
    assert len(seen) > 10  # all along, not only at the end


@pytest.mark.parametrize("name", ["hevc-240", "h264-variable", "turned-silent", "hlg", "mts"])
def test_the_ffmpeg_of_the_wheel_makes_the_same(
    clip: Clip, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setenv(ffmpeg.OVERRIDE, WHEEL_FFMPEG)
    result = prepare(clip(name), look(clip(name)), tmp_path)
    assert numbers(result.study) == list(range(RECIPES[name].frames))
    with Image.open(result.poster) as poster:
        assert read_corners(poster) == "rgb"


def test_a_movie_cut_short_is_prepared_up_to_the_cut(clip: Clip, tmp_path: Path) -> None:
    whole, cut = tmp_path / "whole.mp4", tmp_path / "cut.mp4"
    run_wheel("-i", str(clip("few-keys")), "-c", "copy", "-movflags", "+faststart", str(whole))
    data = whole.read_bytes()
    cut.write_bytes(data[: len(data) * 2 // 3])
    result = prepare(cut, look(cut), tmp_path / "out")
    assert result.cut_short
    shown = numbers(result.study)
    # in the last group before the cut some frames lean on ones that are gone
    assert shown[:40] == list(range(40))
    assert shown == sorted(set(shown))


def test_broken_sound_does_not_cost_the_picture(clip: Clip, tmp_path: Path) -> None:
    data = bytearray(clip("odd").read_bytes())
    codebooks = data.index(b"\x05vorbis") + 20
    data[codebooks : codebooks + 40] = b"\x55" * 40
    path = tmp_path / "croak.mkv"
    path.write_bytes(data)
    source = look(path)
    result = prepare(path, source, tmp_path / "out")
    assert source.has_audio
    assert not result.has_sound
    assert numbers(result.study) == list(range(48))


def test_a_full_disk_is_told_as_such(
    clip: Clip, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(errors.NoRoom):
        prepare(clip("silent"), look(clip("silent")), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_left_when_it_is_stopped(clip: Clip, tmp_path: Path) -> None:
    source = look(clip("hevc-240"))
    with pytest.raises(errors.Stopped):
        prepare(clip("hevc-240"), source, tmp_path / "out", should_stop=lambda: True, threads=1)
    assert list((tmp_path / "out").iterdir()) == []


def test_a_result_that_is_not_what_was_planned_is_found_out(
    clip: Clip, made: Callable[[str], Prepared]
) -> None:
    folder = made("h264").study.parent
    verify(plan(look(clip("h264"))), folder)
    for other, kind in (
        ("h264-variable", errors.Unreadable),
        ("portrait", errors.ToolFailed),
        ("hevc-240", errors.Unreadable),
    ):
        with pytest.raises(kind):
            verify(plan(look(clip(other))), folder)


def test_a_result_that_is_cut_off_is_found_out(
    clip: Clip, made: Callable[[str], Prepared], tmp_path: Path
) -> None:
    wanted = plan(look(clip("silent")))
    result = made("silent")
    for name in ("watch.mp4", "study.mp4", "poster.jpg", "strip.jpg"):
        for part in (result.watch, result.study, result.poster, result.strip):
            data = part.read_bytes()
            kept = data[: len(data) // 2] if part.name == name else data
            (tmp_path / part.name).write_bytes(kept)
        with pytest.raises(errors.ToolFailed):
            verify(wanted, tmp_path)


def test_hostile_names_of_files_and_folders_do_no_harm(clip: Clip, tmp_path: Path) -> None:
    folder = tmp_path / "-y %03d 'quoted' [0:v];é\n:x"
    folder.mkdir()
    path = folder / "-i concat:a|b %d.mp4"
    path.write_bytes(clip("silent").read_bytes())
    result = prepare(path, look(path), folder / "out,put")
    assert result.study.is_file()
    assert sorted(p.name for p in folder.iterdir()) == ["-i concat:a|b %d.mp4", "out,put"]
