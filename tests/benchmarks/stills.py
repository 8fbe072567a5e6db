"""Ten stills of one clip in one request against ten runs of `ffmpeg -ss`.

`python -m tests.benchmarks.stills` prints one line a figure:
`figure NAME VALUE UNIT bar RELATION LIMIT`, and ends with 1 if a bar is missed. The ratio is
between medians of alternating runs, so that a machine that slows down slows both. Both make RGB
pixels in memory. How many of each are the frame that is shown at the asked time is counted by
the number drawn into every frame.
"""

from __future__ import annotations

import random
import statistics
import subprocess
import sys
import tempfile
import time
from bisect import bisect_right
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image

from media_tools import ffmpeg
from media_tools.source import look
from media_tools.stills import take
from tests.media_tools.clips import QUIET_265, X265, Recipe, make, read_number

STILLS = 10
ROUNDS = 3
SIZE = (1920, 1080)


def recipe(key_every: int) -> Recipe:
    """Two seconds at 240 a second in 1080p HEVC, with the grain that a phone's picture has."""
    keys = f"{QUIET_265}:keyint={key_every}:min-keyint={key_every}:bframes=2"
    filters = f"scale={SIZE[0]}:{SIZE[1]},noise=alls=10:allf=t"
    codec = (*X265, "-x265-params", keys)
    return Recipe("mov", 480, 240, codec=codec, filters=filters, sound=())


def by_ffmpeg(path: Path, times_us: list[int]) -> list[Image.Image]:
    """As from a shell: one run for each time."""
    program = ffmpeg.find_ffmpeg().path
    images = []
    for t_us in times_us:
        data = subprocess.run(
            [
                *(program, "-v", "error", "-ss", f"{t_us / 1e6:.6f}", "-i", str(path)),
                *("-frames:v", "1", "-f", "rawvideo", "-pix_fmt", "rgb24", "pipe:1"),
            ],
            capture_output=True,
            check=True,
        ).stdout
        pixels = np.frombuffer(data, np.uint8).reshape(SIZE[1], SIZE[0], 3)
        images.append(Image.fromarray(pixels))
    return images


def by_us(path: Path, times_us: list[int]) -> list[Image.Image]:
    """As the site does: one request, the look included."""
    return [still.image for still in take(path, times_us)]


def timed(
    work: Callable[[Path, list[int]], list[Image.Image]], path: Path, times_us: list[int]
) -> tuple[float, list[Image.Image]]:
    begun = time.perf_counter()
    images = work(path, times_us)
    return time.perf_counter() - begun, images


def measure(path: Path) -> tuple[float, int, int]:
    """Ratio of the times, and how many of the ten are exact: ours, and ffmpeg's."""
    table = look(path).times_us.tolist()
    dice = random.Random(7)
    times_us = [dice.randint(table[0], table[-1]) for _ in range(STILLS)]
    wanted = [bisect_right(table, t_us) - 1 for t_us in times_us]
    ours, theirs = [], []
    for _ in range(ROUNDS):
        seconds, images = timed(by_us, path, times_us)
        ours.append(seconds)
        exact = sum(read_number(i) == number for i, number in zip(images, wanted, strict=True))
        seconds, images = timed(by_ffmpeg, path, times_us)
        theirs.append(seconds)
        other = sum(read_number(i) == number for i, number in zip(images, wanted, strict=True))
    return statistics.median(ours) / statistics.median(theirs), exact, other


def main() -> int:
    """Print the figures; 1 if a bar is missed."""
    missed = False
    with tempfile.TemporaryDirectory() as folder:
        for name, key_every, bar in (("frequent_keys", 60, 0.5), ("few_keys", 480, 0.2)):
            path = make(Path(folder) / f"{name}.mov", recipe(key_every))
            ratio, exact, other = measure(path)
            print(f"figure stills_vs_ffmpeg_{name} {ratio:.3f} ratio bar <= {bar}")
            print(f"figure stills_exact_{name} {exact} of_{STILLS} bar >= {STILLS}")
            print(f"figure ffmpeg_ss_exact_{name} {other} of_{STILLS}")
            missed |= ratio > bar or exact < STILLS
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
