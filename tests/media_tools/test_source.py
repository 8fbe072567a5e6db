"""What `look` says about files, judged by Debian's ffprobe."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from media_tools.source import frame_at, look, middle_us
from tests.media_tools.clips import WHEEL_FFMPEG, Recipe, ffprobe, frame_times_us, make, run_wheel
from tests.media_tools.recipes import RECIPES

Clip = Callable[[str], Path]


@pytest.mark.parametrize("name", RECIPES)
def test_it_finds_the_time_of_every_frame(clip: Clip, name: str) -> None:
    found = look(clip(name))
    assert found.times_us.tolist() == frame_times_us(clip(name))
    assert found.start_us == found.times_us[0]
    assert found.frame_count == len(RECIPES[name].numbers)


@pytest.mark.parametrize("name", RECIPES)
def test_it_agrees_with_ffprobe_about_the_streams(clip: Clip, name: str) -> None:
    found = look(clip(name))
    streams = ffprobe(clip(name), "-show_streams")["streams"]
    picture = next(s for s in streams if s["codec_type"] == "video")
    assert found.video_codec == picture["codec_name"]
    assert (found.coded_width_px, found.coded_height_px) == (picture["width"], picture["height"])
    assert found.pixel_format == picture["pix_fmt"]
    assert found.video_index == picture["index"]
    sounds = [s for s in streams if s["codec_type"] == "audio"]
    assert found.has_audio == bool(sounds)
    if sounds:
        assert (found.audio_index, found.audio_codec) == (
            sounds[0]["index"],
            sounds[0]["codec_name"],
        )


@pytest.mark.parametrize("name", RECIPES)
def test_it_says_the_size_as_shown(clip: Clip, name: str) -> None:
    found = look(clip(name))
    size = RECIPES[name].size if name == "odd" else RECIPES[name].upright
    assert (found.width_px, found.height_px) == size


def test_key_frames_are_those_of_ffprobe(clip: Clip) -> None:
    found = look(clip("h264"))
    answer = ffprobe(clip("h264"), "-select_streams", "v", "-show_entries", "packet=pts_time,flags")
    keys = [p["pts_time"] for p in answer["packets"] if "K" in p["flags"]]
    assert found.key_times_us.tolist() == [round(float(key) * 1e6) for key in keys]
    assert len(keys) == 4


def test_it_says_how_long_it_lasts_and_how_dense_it_is(clip: Clip) -> None:
    found = look(clip("hevc-240"))
    assert found.duration_us == 500_000
    assert found.rate_hz == pytest.approx(240, rel=0.001)
    assert look(clip("late-start")).duration_us == 1_600_000
    assert look(clip("one-frame")).duration_us == 33_333
    assert look(clip("one-frame")).rate_hz == 0


@pytest.mark.parametrize(
    ("name", "rotation_deg", "mirrored"),
    [
        ("h264", 0, False),
        ("turned-90", 270, False),  # ffmpeg's option counts counter-clockwise
        ("turned-270", 90, False),
        ("turned-180", 180, False),
        ("mirrored", 0, True),
    ],
)
def test_it_says_which_way_up(clip: Clip, name: str, rotation_deg: int, mirrored: bool) -> None:
    found = look(clip(name))
    assert (found.rotation_deg, found.mirrored) == (rotation_deg, mirrored)


@pytest.mark.parametrize(
    ("name", "transfer"), [("h264", "sdr"), ("hlg", "arib-std-b67"), ("pq", "smpte2084")]
)
def test_it_knows_high_dynamic_range(clip: Clip, name: str, transfer: str) -> None:
    found = look(clip(name))
    assert found.colour.transfer_name == transfer
    assert found.is_hdr == (transfer != "sdr")


def test_the_name_of_a_file_counts_for_nothing(clip: Clip, tmp_path: Path) -> None:
    disguised = tmp_path / "strike 100%03d; rm -rf é\n.txt"
    disguised.write_bytes(clip("h264").read_bytes())
    assert look(disguised).container == "mov"


def test_a_picture_on_the_cover_is_not_the_video(clip: Clip, tmp_path: Path) -> None:
    path, photo = tmp_path / "cover.mp4", tmp_path / "cover.jpg"
    Image.new("RGB", (64, 48), "red").save(photo)
    run_wheel(
        *("-i", str(photo), "-i", str(clip("h264")), "-map", "0", "-map", "1", "-c", "copy"),
        *("-disposition:v:0", "attached_pic", str(path)),
    )
    found = look(path)
    assert (found.video_codec, found.frame_count) == ("h264", 48)


def test_the_frame_at_a_time_is_the_last_that_has_begun() -> None:
    times = np.array([100, 200, 350], dtype=np.int64)
    asked = [0, 99, 100, 199, 200, 349, 350, 9_999]
    assert [frame_at(times, t) for t in asked] == [0, 0, 0, 0, 1, 1, 2, 2]


def test_the_middle_of_a_frame_lies_within_it() -> None:
    times = np.array([100, 200, 350], dtype=np.int64)
    assert [middle_us(times, i) for i in range(3)] == [150, 275, 425]
    assert middle_us(times[:1], 0) == 101


def test_the_files_are_made_by_another_ffmpeg_than_the_judges() -> None:
    assert "imageio_ffmpeg" in WHEEL_FFMPEG


def test_two_tracks_of_sound_the_first_that_is_known_counts(tmp_path: Path) -> None:
    recipe = Recipe("mov", frames=10, options=("-map", "1:a", "-c:a:1", "pcm_s16le"))
    found = look(make(tmp_path / "two.mov", recipe))
    assert (found.audio_index, found.audio_codec) == (1, "aac")
