"""How loud the sound is over a clip, small enough to draw: the picture under the scrub strip."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import numpy as np

PEAKS = "peaks.json"
FULL_SCALE = 1000
_MOST_STEPS = 6_000  # of 200 ms for twenty minutes, of 10 ms up to a minute
_SHORTEST_STEP_US = 10_000


def step_us(duration_us: int) -> int:
    """How long one peak stands for: whole milliseconds, at least ten."""
    return max(_SHORTEST_STEP_US, 1_000 * -(-duration_us // (1_000 * _MOST_STEPS)))


def write_peaks(samples: Path | None, rate_hz: int, duration_us: int, out: Path) -> None:
    """Write the peaks of a file of raw samples (16-bit, little-endian, mono) as JSON.

    `{"step_us": 10000, "full_scale": 1000, "peaks": [3, 12, ...]}`: number k is the greatest
    absolute sample from k * step_us on, where full_scale is the loudest there can be. Without
    sound (`samples` None) the list is empty. Raises OSError.
    """
    step = step_us(duration_us)
    peaks: list[int] = []
    if samples is not None and samples.stat().st_size >= 2:
        sound = np.memmap(samples, dtype="<i2", mode="r")
        count = max(1, -(-len(sound) * 1_000_000 // (rate_hz * step)))
        edges = [min(len(sound), k * step * rate_hz // 1_000_000) for k in range(count + 1)]
        for begin, end in pairwise(edges):
            part = sound[begin:end].astype(np.int32)
            loudest = int(np.abs(part).max(initial=0))
            peaks.append(min(FULL_SCALE, round(loudest * FULL_SCALE / 32767)))
        del sound
    out.write_text(
        json.dumps({"step_us": step, "full_scale": FULL_SCALE, "peaks": peaks}), encoding="ascii"
    )
