"""Study cuts: which frames they hold and when, judged by ffprobe and the numbers in the frames."""

from __future__ import annotations

import random
import time
from bisect import bisect_right
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from media_tools import boxes, errors, ffmpeg
from media_tools.prepare import StudyCut, first, plan_study, study
from media_tools.prepare.made import verify_study
from media_tools.source import look
from media_tools.stills import take
from tests.media_tools.clips import (
    WHEEL_FFMPEG,
    X264,
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
Cut = Callable[[str], StudyCut]


def frames_between(path: Path, begin_us: int, end_us: int) -> tuple[int, int, list[int]]:
    """First and last frame shown between two times, by ffprobe; and all times from the first."""
    times_us = frame_times_us(path)
    first, last = (
        max(0, bisect_right(times_us, times_us[0] + t_us) - 1) for t_us in (begin_us, end_us)
    )
    return first, last, [t_us - times_us[0] for t_us in times_us]


@pytest.mark.parametrize("name", RECIPES)
def test_a_cut_keeps_every_frame_at_its_true_time(clip: Clip, cut: Cut, name: str) -> None:
    source, result = look(clip(name)), cut(name)
    begin_us, end_us = source.duration_us // 3, source.duration_us * 5 // 6
    begin, end, times_us = frames_between(clip(name), begin_us, end_us)
    assert numbers(result.file) == RECIPES[name].numbers[begin : end + 1]
    own_us = frame_times_us(result.file)
    assert own_us[0] == 0
    assert result.offset_us == times_us[begin]
    moved = np.array(own_us) + result.offset_us - times_us[begin : end + 1]
    assert np.abs(moved).max() <= 20  # of the 1,000 us that are promised
    assert (result.times_us - result.offset_us).tolist() == own_us
    assert result.missing_frames == 0
    assert list(result.file.parent.iterdir()) == [result.file]


@pytest.mark.parametrize("name", RECIPES)
def test_a_cut_is_what_every_browser_plays(cut: Cut, name: str) -> None:
    result = cut(name)
    streams = ffprobe(result.file, "-show_streams")["streams"]
    picture = streams[0]
    assert (picture["codec_name"], picture["pix_fmt"]) == ("h264", "yuv420p")
    assert (picture["width"], picture["height"]) == RECIPES[name].upright
    assert (result.width_px, result.height_px) == RECIPES[name].upright
    assert picture.get("sample_aspect_ratio", "1:1") == "1:1"
    assert not picture.get("side_data_list")
    assert picture["color_transfer"] == picture["color_space"] == "bt709"
    assert len(streams) == 1 + bool(RECIPES[name].sound)
    for stream in streams:
        assert float(stream["start_time"]) == pytest.approx(0, abs=0.001)
        wanted_s = result.duration_us / 1_000_000
        assert float(stream["duration"]) == pytest.approx(wanted_s, abs=0.05)
    assert boxes.read_structure(result.file).index_first


@pytest.mark.parametrize("name", RECIPES)
def test_stills_of_a_cut_are_exact(clip: Clip, cut: Cut, name: str) -> None:
    result = cut(name)
    dice = random.Random(name)
    begin_us = result.offset_us
    asked = [dice.randint(begin_us, begin_us + result.duration_us - 100) for _ in range(200)]
    times_us = frame_times_us(clip(name))
    wanted = [
        RECIPES[name].numbers[bisect_right(times_us, times_us[0] + t + 20) - 1] for t in asked
    ]
    stills = take(result.file, [t - begin_us + 20 for t in asked])
    assert [read_number(still.image) for still in stills] == wanted
    assert {read_corners(still.image) for still in stills} == {"rgb"}


def test_240_a_second_stay_240(cut: Cut) -> None:
    assert np.diff(cut("hevc-240").times_us).max() <= 4_200
    assert np.diff(cut("h264-240-mono").times_us).max() <= 4_200


@pytest.mark.parametrize(
    "name", ["h264", "open-gop", "few-keys", "mkv", "webm", "avi-h264", "mts", "trimmed"]
)
def test_it_begins_and_ends_with_any_frame(clip: Clip, tmp_path: Path, name: str) -> None:
    source = look(clip(name))
    times_us = (source.times_us - source.start_us).tolist()
    shown, dice = RECIPES[name].numbers, random.Random(name)
    pairs = [sorted(dice.choices(range(len(shown)), k=2)) for _ in range(3)]
    keys_us = [0, *(source.key_times_us - source.start_us).tolist()]  # the first may be hidden
    at_key = times_us.index(keys_us[-1])
    last = len(shown) - 1
    for begin, end in (*pairs, (at_key, last), (max(0, at_key - 1), at_key), (0, 0), (last, last)):
        result = study(clip(name), source, times_us[begin], times_us[end], tmp_path)
        assert numbers(result.file) == shown[begin : end + 1]
        assert result.times_us.tolist() == pytest.approx(times_us[begin : end + 1], abs=20)
    # one microsecond before a frame is shown, it is the one before
    result = study(clip(name), source, times_us[5] - 1, times_us[7] - 1, tmp_path)
    assert numbers(result.file) == shown[4:7]


def test_times_outside_of_the_clip_give_its_ends(clip: Clip, tmp_path: Path) -> None:
    result = study(clip("late-start"), look(clip("late-start")), -(10**9), 10**9, tmp_path)
    assert numbers(result.file) == list(range(48))
    assert result.offset_us == 0
    assert result.duration_us == 1_600_000


def test_an_end_before_the_begin_is_the_callers_mistake(clip: Clip, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="ends before it begins"):
        study(clip("h264"), look(clip("h264")), 500_000, 400_000, tmp_path)


def test_the_sound_of_a_cut_stays_with_its_picture(tmp_path: Path) -> None:
    """A beep of 50 ms at each whole second, and a cut from 1.4 s on: beeps at 0.6 and 1.6."""
    beeps = "aevalsrc='lt(mod(t,1),0.05)*sin(6283*t)':s=48000"
    recipe = Recipe(frames=120, codec=(*X264, "-g", "30"), sound=("-f", "lavfi", "-i", beeps))
    path = make(tmp_path / "beeps.mp4", recipe)
    result = study(path, look(path), 1_400_000, 3_200_000, tmp_path / "out")
    raw = run_wheel("-i", str(result.file), "-ac", "1", "-f", "f32le", "-")
    loud = np.abs(np.frombuffer(raw, np.float32)) > 0.3
    begins = [t for t in np.flatnonzero(loud) / 48_000 if not loud[int(t * 48_000) - 4000 :][0]]
    assert begins[0] == pytest.approx(2 - result.offset_us / 1e6, abs=0.005)
    assert any(t == pytest.approx(3 - result.offset_us / 1e6, abs=0.005) for t in begins)


def test_a_key_frame_comes_every_twelve(cut: Cut) -> None:
    answer = ffprobe(
        cut("hevc-240").file, "-select_streams", "v", "-show_entries", "packet=flags,pts"
    )
    packets = sorted(answer["packets"], key=lambda packet: packet["pts"])
    keys = [index for index, packet in enumerate(packets) if "K" in packet["flags"]]
    assert keys == list(range(0, len(packets), 12))


def test_large_pictures_are_made_to_fit(tmp_path: Path) -> None:
    recipe = Recipe(size=(1440, 2560), frames=6, codec=("-c:v", "mjpeg", "-q:v", "9"), ending="mov")
    path = make(tmp_path / "large.mov", recipe)
    result = study(path, look(path), 66_667, 150_000, tmp_path / "out")
    assert (result.width_px, result.height_px) == (1080, 1920)
    assert numbers(result.file) == [2, 3, 4]


@pytest.mark.parametrize("name", ["hevc-240", "turned-silent", "hlg-turned", "mts", "avi-mpeg4"])
def test_the_ffmpeg_of_the_wheel_makes_the_same(
    clip: Clip, cut: Cut, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setenv(ffmpeg.OVERRIDE, WHEEL_FFMPEG)
    source = look(clip(name))
    begin_us, end_us = source.duration_us // 3, source.duration_us * 5 // 6
    result = study(clip(name), source, begin_us, end_us, tmp_path)
    assert numbers(result.file) == numbers(cut(name).file)
    assert not ffprobe(result.file, "-show_streams")["streams"][0].get("side_data_list")


def test_twenty_minutes_are_watched_whole_and_a_late_cut_is_exact_and_reads_little(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = make(tmp_path / "long.mp4", Recipe(frames=12_000, rate=10, size=(64, 64), sound=()))
    source = look(path)
    assert source.duration_us == 1_200_000_000
    made = first(path, source, tmp_path / "first")
    assert frame_times_us(made.watch) == (made.times_us + made.offset_us).tolist()
    assert made.peaks.stat().st_size < 40_000
    runs: list[list[str]] = []
    run = ffmpeg.run

    def spy(args: list[str], **options: object) -> str:
        runs.append(args)
        return run(args, **options)  # type: ignore[arg-type]

    monkeypatch.setattr(ffmpeg, "run", spy)
    result = study(path, source, 1_195_000_000, 1_196_000_000, tmp_path / "out")
    assert numbers(result.file) == list(range(11_950, 11_961))
    assert len(runs) == 1
    begins_s = float(runs[0][runs[0].index("-ss") + 1])
    assert 0 <= 1195 - begins_s <= 1.2  # the key frame before it


def test_progress_only_grows_and_ends_at_one(clip: Clip, tmp_path: Path) -> None:
    seen: list[float] = []
    source = look(clip("hevc-240"))
    study(clip("hevc-240"), source, 0, 400_000, tmp_path, on_progress=seen.append)
    assert seen == sorted(seen)
    assert seen[-1] == 1.0


def test_nothing_is_left_when_it_is_stopped(clip: Clip, tmp_path: Path) -> None:
    source = look(clip("hevc-240"))
    begun = time.monotonic()
    with pytest.raises(errors.Stopped):
        study(clip("hevc-240"), source, 0, 400_000, tmp_path, should_stop=lambda: True, threads=1)
    assert list(tmp_path.iterdir()) == []
    assert time.monotonic() - begun < 30


def test_a_cut_of_damaged_frames_says_how_many_are_missing(clip: Clip, tmp_path: Path) -> None:
    data = bytearray(clip("avi").read_bytes())
    middle = len(data) // 2
    data[middle : middle + 9000] = bytes(9000)
    path = tmp_path / "damaged.avi"
    path.write_bytes(data)
    source = look(path)
    result = study(path, source, 0, source.duration_us, tmp_path / "out")
    assert len(result.times_us) + result.missing_frames == source.frame_count


def test_a_cut_that_is_not_what_was_planned_is_found_out(clip: Clip, cut: Cut) -> None:
    source = look(clip("h264"))
    begin_us, end_us = source.duration_us // 3, source.duration_us * 5 // 6
    folder = cut("h264").file.parent
    verify_study(plan_study(source, begin_us, end_us), folder)
    with pytest.raises(errors.ToolFailed):
        verify_study(plan_study(look(clip("portrait")), begin_us, end_us), folder)
    with pytest.raises(errors.Unreadable):
        verify_study(plan_study(look(clip("h264-variable")), begin_us, end_us), folder)
    with pytest.raises(errors.Unreadable):
        verify_study(plan_study(source, 0, 200_000), folder)
