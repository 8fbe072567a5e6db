"""Frames out of a file, in either direction: `media_tools.follow.Filmed`."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import numpy as np
import pytest

from media_tools.errors import Unreadable
from media_tools.follow import Filmed
from tests.servers import need

COUNT = 70
SIZE = (160, 120)
GREY = ("-f", "rawvideo", "-pix_fmt", "gray")


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Key frames every 12, B-frames, and times that are not even: every fourth frame is gone."""
    path = tmp_path_factory.mktemp("film") / "study.mp4"
    source = f"testsrc2=size={SIZE[0]}x{SIZE[1]}:rate=60:duration=2"
    subprocess.run(
        [
            *(need("ffmpeg"), "-v", "error", "-f", "lavfi", "-i", source),
            *("-vf", "select='mod(n,4)'", "-fps_mode", "passthrough", "-frames:v", str(COUNT)),
            *("-c:v", "libx264", "-g", "12", "-bf", "2", "-pix_fmt", "yuv420p", str(path)),
        ],
        check=True,
    )
    return path


@pytest.fixture(scope="module")
def truth(film: Path) -> np.ndarray:
    """Debian's ffmpeg is the judge: the luma of every frame, one after the other."""
    command = [need("ffmpeg"), "-v", "error", "-i", film, "-vf", "extractplanes=y"]
    command += ["-fps_mode", "passthrough", *GREY, "pipe:1"]
    data = subprocess.run(command, capture_output=True, check=True).stdout
    return np.frombuffer(data, np.uint8).reshape(-1, SIZE[1], SIZE[0])


def test_its_times_are_those_that_ffprobe_finds(film: Path):
    command = [need("ffprobe"), "-v", "error", "-select_streams", "v", "-of", "json"]
    command += ["-show_entries", "frame=pts_time", film]
    frames = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)["frames"]
    told = [round(float(frame["pts_time"]) * 1e6) for frame in frames]
    assert len(told) == COUNT
    assert np.abs(Filmed(film).times_us - told).max() <= 1


@pytest.mark.parametrize(
    ("first", "last"),
    [(0, COUNT - 1), (COUNT - 1, 0), (13, 50), (50, 13), (30, 30), (11, 12), (12, 11), (69, 60)],
)
def test_it_walks_both_ways(film: Path, truth: np.ndarray, first: int, last: int):
    step = 1 if last >= first else -1
    wanted = list(range(first, last + step, step))
    seen = list(Filmed(film).walk(first, last))
    assert len(seen) == len(wanted)
    for picture, number in zip(seen, wanted, strict=True):
        assert np.array_equal(picture, truth[number])


def test_a_frame_that_cant_be_decoded_is_said(film: Path, tmp_path: Path):
    data = bytearray(film.read_bytes())
    middle = data.index(b"mdat") + 4
    data[middle + len(data) // 8 : middle + len(data) // 2] = bytes(len(data) // 2 - len(data) // 8)
    spoilt = tmp_path / "spoilt.mp4"
    spoilt.write_bytes(data)
    with pytest.raises(Unreadable, match="damaged"):
        list(Filmed(spoilt).walk(0, COUNT - 1))
