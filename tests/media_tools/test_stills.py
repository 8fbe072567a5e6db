"""A still is the frame that is shown at the asked time: read by the number drawn into it."""

from __future__ import annotations

import random
from bisect import bisect_right
from collections.abc import Callable
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from media_tools import errors, ffmpeg
from media_tools.colour import Colour
from media_tools.prepare import study
from media_tools.source import look
from media_tools.stills import take
from tests.media_tools.clips import (
    Recipe,
    frame_times_us,
    make,
    numbered,
    read_corners,
    read_number,
    run_wheel,
)
from tests.media_tools.recipes import RECIPES

Clip = Callable[[str], Path]


@pytest.mark.parametrize("name", RECIPES)
def test_every_still_is_the_frame_shown_at_that_time(clip: Clip, name: str) -> None:
    source = look(clip(name))
    times_us = frame_times_us(clip(name))  # by ffprobe, the outside judge
    dice = random.Random(name)
    end_us = source.start_us + source.duration_us
    asked = [dice.randint(source.start_us, end_us) for _ in range(200)]
    asked += [times_us[-1], times_us[0], source.start_us + 1]
    stills = take(clip(name), asked, source)
    wanted = [bisect_right(times_us, t) - 1 for t in asked]
    assert [still.asked_us for still in stills] == asked
    assert [read_number(still.image) for still in stills] == [
        RECIPES[name].numbers[index] for index in wanted
    ]
    assert [still.time_us for still in stills] == [times_us[index] for index in wanted]
    assert {read_corners(still.image) for still in stills} == {"rgb"}
    assert {still.image.size for still in stills} == {(source.width_px, source.height_px)}


def test_each_frame_alone_is_exact(clip: Clip) -> None:
    source = look(clip("h264-variable"))
    for index, t_us in enumerate(source.times_us.tolist()):
        assert read_number(take(clip("h264-variable"), [t_us], source)[0].image) == index


@pytest.mark.parametrize("name", ["open-gop", "mts", "few-keys"])
def test_a_lone_frame_before_and_after_a_key_frame_is_exact(clip: Clip, name: str) -> None:
    source = look(clip(name))
    times = source.times_us.tolist()
    for key_us in source.key_times_us.tolist():
        at = times.index(key_us)
        for index in range(max(0, at - 4), min(len(times), at + 3)):
            assert read_number(take(clip(name), [times[index]], source)[0].image) == index


def test_times_before_and_after_the_video_give_the_first_and_the_last(clip: Clip) -> None:
    first, last = take(clip("late-start"), [-5, 99_000_000])
    assert (read_number(first.image), read_number(last.image)) == (0, 47)
    assert first.time_us == 3_700_000


def test_no_times_give_no_stills(clip: Clip) -> None:
    assert take(clip("h264"), []) == []


def test_the_same_time_twice_gives_two_stills(clip: Clip) -> None:
    stills = take(clip("h264"), [500_000, 500_000, 499_999])
    assert [read_number(still.image) for still in stills] == [15, 15, 14]


def test_frames_hidden_by_an_edit_list_are_never_shown(clip: Clip, tmp_path: Path) -> None:
    """A clip trimmed on a phone keeps the frames from the key frame on, and hides them."""
    path = tmp_path / "trimmed.mp4"
    run_wheel("-ss", "0.55", "-i", str(clip("few-keys")), "-c", "copy", str(path))
    source = look(path)
    assert source.times_us.tolist() == frame_times_us(path)
    stills = take(path, source.times_us.tolist(), source)
    first = read_number(stills[0].image)
    assert first == 17
    assert [read_number(still.image) for still in stills] == list(range(first, 90))


@pytest.mark.parametrize(("degrees", "flip"), list(product((0, 90, 180, 270), (False, True))))
def test_it_stands_as_ffmpeg_turns_it(tmp_path: Path, degrees: int, flip: bool) -> None:
    """The outside judge is ffmpeg 9's own reading of the display matrix, mirrored or not."""
    matrix = ("-display_rotation", str(degrees), *(("-display_hflip",) if flip else ()))
    recipe = Recipe("mov", frames=2, matrix=matrix, sound=(), codec=("-c:v", "mjpeg", "-q:v", "2"))
    path = make(tmp_path / "turned.mov", recipe)
    source = look(path)
    raw = run_wheel("-i", str(path), "-frames:v", "1", "-f", "rawvideo", "-pix_fmt", "rgb24", "-")
    judge = np.frombuffer(raw, np.uint8).reshape(source.height_px, source.width_px, 3)
    ours = np.asarray(take(path, [0], source)[0].image)
    assert np.abs(judge.astype(int) - ours).mean() < 3


@pytest.mark.parametrize("name", ["h264", "full-range", "hlg", "pq", "wide-pixels", "turned-90"])
def test_a_still_has_the_colours_of_the_study_rendition(
    clip: Clip, tmp_path: Path, name: str
) -> None:
    source = look(clip(name))
    made = study(clip(name), source, 0, source.duration_us, tmp_path)
    still = take(clip(name), [source.start_us + 400_000], source)[0].image
    shown = take(made.file, [400_000])[0].image
    assert shown.size == still.size
    difference = np.asarray(still, dtype=int) - np.asarray(shown, dtype=int)
    assert np.abs(difference).mean() < 4
    assert np.abs(difference.mean(axis=(0, 1))).max() < 3


def test_full_range_keeps_black_and_white(clip: Clip) -> None:
    image = take(clip("full-range"), [0])[0].image
    drawn = np.asarray(Image.fromarray(numbered(0, 320, 180)), dtype=int)
    assert np.abs(np.asarray(image, dtype=int) - drawn).mean() < 4


@pytest.mark.parametrize(("transfer", "grey", "white"), [(18, 0.38, 0.75), (16, 0.38, 0.58)])
def test_a_grey_card_and_white_paper_stay_as_bright_as_in_sdr(
    transfer: int, grey: float, white: float
) -> None:
    """Signal levels of an 18 % grey card and of diffuse white: ITU-R BT.2408, from memory.

    In SDR (BT.709) the grey card stands at 1.099 * 0.18 ** 0.45 - 0.099 = 0.41.
    """
    filters = ",".join(
        f"{name}=" + ":".join(f"{key}={value}" for key, value in options.items())
        for name, options in Colour(9, 9, transfer).tone_filters()
    )
    for level, lowest, highest in ((grey, 0.38, 0.45), (white, 0.83, 1.0)):
        luma = np.full((16, 16), round(64 + 876 * level), dtype="<u2")
        chroma = np.full((2, 8, 8), 512, dtype="<u2")
        size = ("-f", "rawvideo", "-pix_fmt", "yuv420p10le", "-s", "16x16", "-i", "pipe:0")
        rgb = ffmpeg.pipe(
            [*size, "-vf", filters, "-f", "rawvideo", "-pix_fmt", "rgb24", "pipe:1"],
            luma.tobytes() + chroma.tobytes(),
            timeout_s=30,
        )
        assert lowest < np.frombuffer(rgb, np.uint8).mean() / 255 < highest


def test_damage_gives_the_frame_before_it(clip: Clip, tmp_path: Path) -> None:
    data = bytearray(clip("mkv").read_bytes())
    half = len(data) // 2
    data[half : half + 600] = b"\x55" * 600
    path = tmp_path / "damaged.mkv"
    path.write_bytes(data)
    source = look(path)
    stills = take(path, source.times_us.tolist(), source)
    assert len(stills) == source.frame_count
    assert all(still.time_us <= still.asked_us for still in stills)


def test_a_file_that_is_no_video_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "x.mp4"
    path.write_bytes(b"no video")
    with pytest.raises(errors.NotAVideo):
        take(path, [0])
