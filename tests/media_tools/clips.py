"""Small video files whose frames carry their own number, and readers to check against.

Each frame shows its number as four by four black or white fields, and a red, a green and a blue
corner (top left, top right, bottom left) by which its way up can be read. The files are made by
the ffmpeg of the imageio-ffmpeg wheel; the judge is Debian's ffprobe, where it is installed.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import imageio_ffmpeg
import numpy as np
import pytest
from PIL import Image

WHEEL_FFMPEG = imageio_ffmpeg.get_ffmpeg_exe()
X264 = ("-c:v", "libx264", "-preset", "veryfast", "-g", "12", "-pix_fmt", "yuv420p")
X265 = ("-c:v", "libx265", "-preset", "ultrafast", "-tag:v", "hvc1", "-pix_fmt", "yuv420p")
QUIET_265 = "log-level=none"
PASSTHROUGH = ("-fps_mode", "passthrough", "-enc_time_base", "1:90000")


def numbered(number: int, width_px: int, height_px: int) -> np.ndarray:
    """A frame (height, width, 3) that shows its number."""
    frame = np.full((height_px, width_px, 3), (96, 128, 96), dtype=np.uint8)
    side = min(width_px, height_px) // 6
    frame[:side, :side] = (220, 30, 30)
    frame[:side, -side:] = (30, 200, 30)
    frame[-side:, :side] = (30, 30, 220)
    for bit in range(16):
        rows, columns = _field(bit, width_px, height_px)
        frame[rows, columns] = 255 if number >> bit & 1 else 0
    return frame


def read_number(image: Image.Image) -> int:
    """The number that a picture of such a frame shows, at whatever size."""
    grey = np.asarray(image.convert("L"), dtype=float)
    height_px, width_px = grey.shape
    number = 0
    for bit in range(16):
        rows, columns = _field(bit, width_px, height_px)
        field = grey[rows, columns]
        inset_y, inset_x = field.shape[0] // 4, field.shape[1] // 4
        middle = field[inset_y : field.shape[0] - inset_y, inset_x : field.shape[1] - inset_x]
        number |= int(middle.mean() > 128) << bit
    return number


def read_corners(image: Image.Image) -> str:
    """The strongest colours of the corners: 'rgb' when upright (top left, top right, bottom)."""
    pixels = np.asarray(image.convert("RGB"), dtype=int)
    side = max(2, min(pixels.shape[:2]) // 8)
    corners = (pixels[:side, :side], pixels[:side, -side:], pixels[-side:, :side])
    return "".join("rgb"[int(corner.mean(axis=(0, 1)).argmax())] for corner in corners)


def _field(bit: int, width_px: int, height_px: int) -> tuple[slice, slice]:
    row, column = divmod(bit, 4)
    left, top = width_px * (2 + column) / 8, height_px * (2 + row) / 8
    return (
        slice(round(top), round(top + height_px / 8)),
        slice(round(left), round(left + width_px / 8)),
    )


@dataclass(frozen=True)
class Recipe:
    """How to make one file."""

    ending: str = "mp4"
    frames: int = 48
    rate: int | str = 30
    size: tuple[int, int] = (320, 180)
    codec: tuple[str, ...] = X264
    filters: str = "null"
    sound: tuple[str, ...] = ("-f", "lavfi", "-i", "sine=frequency=440:sample_rate=48000")
    options: tuple[str, ...] = ()
    turn: int = 0  # stored turned clockwise by so many degrees
    flip: bool = False  # and then mirrored left to right
    matrix: tuple[str, ...] = ()  # what is then written into the file by copying it
    shown: tuple[int, int] | None = None  # even, with square pixels; None: as `size`
    hidden: int = 0  # frames at the beginning that an edit list hides

    @property
    def upright(self) -> tuple[int, int]:
        """Width and height of what is made of it."""
        return self.shown or self.size

    @property
    def numbers(self) -> list[int]:
        """What its frames show, one after the other."""
        return list(range(self.hidden, self.frames))


def make(path: Path, recipe: Recipe) -> Path:
    """Make the file of a recipe."""
    width_px, height_px = recipe.size
    data = bytearray()
    for number in range(recipe.frames):
        frame = np.rot90(numbered(number, width_px, height_px), -recipe.turn // 90)
        data += (frame[:, ::-1] if recipe.flip else frame).tobytes()
    stored = f"{frame.shape[1]}x{frame.shape[0]}"
    length = float(recipe.frames / Fraction(recipe.rate))
    sound = (*recipe.sound, "-t", f"{length}") if recipe.sound else ()
    plain = path.with_name(f"plain-{path.name}") if recipe.matrix else path
    run_wheel(
        *("-f", "rawvideo", "-pix_fmt", "rgb24", "-s", stored, "-framerate", str(recipe.rate)),
        *("-i", "pipe:0", *recipe.sound),
        *("-map", "0:v", *(("-map", "1:a", "-t", f"{length}") if sound else ())),
        *("-vf", recipe.filters, *recipe.codec, *recipe.options, str(plain)),
        data=bytes(data),
    )
    if recipe.matrix:
        run_wheel(*recipe.matrix, "-i", str(plain), "-c", "copy", "-map", "0", str(path))
    return path


def numbers(path: Path) -> list[int]:
    """The number shown by each frame, in the order they are shown."""
    with av.open(str(path)) as container:
        return [read_number(frame.to_image()) for frame in container.decode(video=0)]


def run_wheel(*args: str, data: bytes = b"") -> bytes:
    """Run the wheel's ffmpeg."""
    return subprocess.run(
        [WHEEL_FFMPEG, "-hide_banner", "-loglevel", "error", "-y", *args],
        input=data,
        capture_output=True,
        check=True,
        timeout=60,
    ).stdout


def ffprobe(path: Path, *args: str) -> dict[str, Any]:
    """What Debian's ffprobe says about a file."""
    program = shutil.which("ffprobe")
    if program is None:
        if os.environ.get("CI"):
            pytest.fail("ffprobe is missing; CI installs Debian's ffmpeg")
        pytest.skip("ffprobe is not installed")
    answer = subprocess.run(
        [program, "-v", "error", "-of", "json", *args, str(path)],
        capture_output=True,
        check=True,
        timeout=60,
    )
    return dict(json.loads(answer.stdout))


def frame_times_us(path: Path) -> list[int]:
    """When ffprobe says each frame is shown, by decoding all of them."""
    # AVI keeps no presentation times: they are counted from the decoding times
    counted = ("-fflags", "+genpts") if path.suffix == ".avi" else ()
    entry = "best_effort_timestamp_time"
    answer = ffprobe(path, *counted, "-select_streams", "v:0", "-show_entries", f"frame={entry}")
    return sorted(round(float(frame[entry]) * 1_000_000) for frame in answer["frames"])
