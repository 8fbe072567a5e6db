"""What may be a swing by its motion alone, with the evidence for it.

Motion is looked at in several parts of the picture, so that somebody who walks through one part
does not hide a swing in another.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from media_tools.motion import Motion
from media_tools.swings.shape import Course, Template, likeness, templates

GRID_HZ = 60.0  # of the even clock on which everything here is computed, in real seconds
_EVERY = 2  # samples of it between those that are compared with the templates
_BLOCK_S = 10.0  # the stillest 30 % of so long a time are a cell's own noise
_STILLEST = 30
_LEAST_LIKE = 0.5
_APART_S = 0.9
_NARROWEST = 6  # columns: a picture this narrow holds one player only
_PARTS = 5

Grid = npt.NDArray[np.float32]


@dataclass(frozen=True)
class Candidate:
    """A stretch of a clip that moves as a swing does. Seconds of real time from the first frame.

    evidence: log odds that it is one; 0 is even.
    amplitude: how strong its motion is.
    """

    begin_s: float
    top_s: float
    strike_s: float
    finish_s: float
    evidence: float
    amplitude: float


@dataclass(frozen=True, eq=False)
class Field:
    """Energy on the even clock: (samples, rows, columns), each cell's own noise taken out."""

    energy: Grid

    def parts(self) -> Iterator[Course]:
        """The sum over the whole picture, then over parts of half its width."""
        columns = self.energy.shape[2]
        yield self.energy.sum(axis=(1, 2))
        if columns <= _NARROWEST:
            return
        wide = max(_NARROWEST - 1, columns // 2)
        for left in sorted({round(k * (columns - wide) / (_PARTS - 1)) for k in range(_PARTS)}):
            yield self.energy[:, :, left : left + wide].sum(axis=(1, 2))

    def during(self, first_s: float, last_s: float) -> Grid:
        """The mean of each cell over a time, at least one sample long."""
        first = int(np.clip(first_s * GRID_HZ, 0, len(self.energy) - 1))
        last = int(np.clip(last_s * GRID_HZ, first + 1, len(self.energy)))
        result: Grid = self.energy[first:last].mean(axis=0)
        return result


def candidates(motion: Motion, rate: float) -> list[Candidate]:
    """All stretches that may be swings, in order of time; they may overlap.

    rate: played time to real time, 8 for 240 frames a second stored as 30.
    """
    if len(motion.times_us) < 2:
        return []
    field = Field(_even(motion, rate))
    found = [_looked_at(field, *peak) for peak in _peaks(field)]
    if not found:
        return []
    # the player of a clip stays the same: what moves far less than the likeliest swing is none
    likeliest = max(found, key=lambda c: c.evidence).amplitude
    found = [replace(c, evidence=c.evidence + _weaker(c.amplitude / likeliest)) for c in found]
    return sorted(found, key=lambda c: c.strike_s)


def _even(motion: Motion, rate: float) -> Grid:
    """Energy by an even clock of real seconds, with each cell's noise taken out.

    A frame's energy is what changed since the frame before, so it is spread over that time.
    """
    energy = motion.energy.astype(np.float32)
    times = (motion.times_us - motion.times_us[0]) / (1e6 * rate)
    step = np.median(np.diff(times))
    block = max(int(_BLOCK_S / max(step, 1e-6)), 30)
    for first in range(0, len(energy), block):
        part = energy[first : first + block]
        noise = np.percentile(part[part.any(axis=(1, 2))] if part.any() else part,
                              _STILLEST, axis=0)  # fmt: skip
        energy[first : first + block] = np.sqrt(np.maximum(part * part - noise * noise, 0))
    total = np.cumsum(energy, axis=0, dtype=np.float64)
    edges = np.arange(0, times[-1] + 1 / GRID_HZ, 1 / GRID_HZ)
    after = np.clip(np.searchsorted(times, edges, side="right"), 1, len(times) - 1)
    share = (edges - times[after - 1]) / np.maximum(times[after] - times[after - 1], 1e-6)
    share = np.clip(share, 0, 1)[:, None, None]
    at_edges = total[after - 1] * (1 - share) + total[after] * share
    result: Grid = np.diff(at_edges, axis=0, prepend=at_edges[:1]).astype(np.float32)
    return result


def smoothed(course: Course, samples: int) -> Course:
    """The mean of each sample and its neighbours."""
    even = np.convolve(course, np.ones(samples) / samples, mode="same")
    return even.astype(np.float32)


def _peaks(field: Field) -> Iterator[tuple[int, float, float, Template, Course]]:
    """Where the likeness to a swing is greatest: sample, likeness, amplitude, template, course."""
    shapes = templates(GRID_HZ / _EVERY)
    parts = [smoothed(part, 3) for part in field.parts()]
    best: Course | None = None
    for number, part in enumerate(parts):
        # the root brings the backswing nearer to the blow, which varies most
        course = np.sqrt(np.maximum(part[::_EVERY], 0))
        for index, shape in enumerate(shapes):
            like, amplitude = likeness(course, shape)
            if best is None:
                best = np.full_like(like, -1.0)
                strongest, which = np.zeros_like(like), np.zeros((len(like), 2), np.int32)
            better = like > best
            best[better], strongest[better] = like[better], amplitude[better]
            which[better] = (number, index)
    if best is None:
        return
    left = best.copy()
    apart = int(_APART_S * GRID_HZ / _EVERY)
    while True:
        at = int(left.argmax())
        if left[at] < _LEAST_LIKE:
            return
        left[max(0, at - apart) : at + apart + 1] = -1
        number, index = which[at]
        yield at * _EVERY, float(best[at]), float(strongest[at]), shapes[index], parts[number]


def _looked_at(
    field: Field, at: int, like: float, amplitude: float, shape: Template, course: Course
) -> Candidate:
    """The moments of a candidate, and the evidence for it but its strength."""
    strike, down, back = at / GRID_HZ, shape.down_s, shape.back_s

    def span(first_s: float, last_s: float) -> Course:
        first = int(np.clip(at + first_s * GRID_HZ, 0, len(course) - 1))
        return course[first : max(first + 1, int(at + last_s * GRID_HZ) + 1)]

    blow = float(span(-0.1, 0.1).max()) + 1e-6
    pause = float(span(-1.6 * down, -0.6 * down).min()) / blow
    before = float(span(-back - down - 0.35, -back - down - 0.05).mean()) / blow
    after = float(span(2.5 * down, 2.5 * down + 0.3).mean()) / blow
    going_back = field.during(strike - down - 0.7 * back, strike - down)
    coming_down = field.during(strike - 0.6 * down, strike + 0.2 * down + 0.05)
    evidence = (
        _LIKE * (like - 0.85)
        - _PAUSE * (pause - 0.4)
        - _STILL * (max(before - 0.25, 0) + max(after - 0.25, 0))
        + _PLACE * (_alike(going_back, coming_down) - 0.6)
        - _DRIFT * max(_apart(going_back, coming_down) - 1.2, 0)
    )
    own = _own_course(field, going_back + coming_down)
    top, strike, begin, finish = _moments(own, at, shape)
    return Candidate(begin, top, strike, finish, evidence, amplitude)


# Weights of the evidence, in log odds: fitted on the mannequin's footage, then rounded.
_LIKE, _PAUSE, _STILL, _PLACE, _DRIFT, _WEAK = 25.0, 8.0, 4.0, 4.0, 1.0, 2.5


def _weaker(share: float) -> float:
    """What it takes from the evidence to have a share of the likeliest swing's amplitude."""
    return _WEAK * min(float(np.log(max(share, 1e-3) / 0.5)), 0.0)


def _alike(one: Grid, other: Grid) -> float:
    """1 where the same cells move, 0 where others do."""
    size = float(np.sqrt((one * one).sum() * (other * other).sum()))
    return float((one * other).sum()) / (size + 1e-6)


def _apart(one: Grid, other: Grid) -> float:
    """How many cells the middle of the motion lies apart."""
    rows, columns = np.mgrid[: one.shape[0], : one.shape[1]]
    middles = [
        ((cells * rows).sum() / total, (cells * columns).sum() / total)
        for cells, total in ((one, one.sum() + 1e-6), (other, other.sum() + 1e-6))
    ]
    return float(max(abs(middles[0][0] - middles[1][0]), abs(middles[0][1] - middles[1][1])))


def _own_course(field: Field, strength: Grid) -> Course:
    """The motion of the cells that take part, by how much they do."""
    weight = np.where(strength > 0.2 * strength.max(), 1.0, 0.0).astype(np.float32)
    return smoothed(np.tensordot(field.energy, weight, axes=([1, 2], [0, 1])), 3)


def _moments(course: Course, at: int, shape: Template) -> tuple[float, float, float, float]:
    """Top, strike, begin and finish in seconds, read off the motion of the player alone."""
    last = len(course) - 1

    def bounds(first_s: float, last_s: float) -> tuple[int, int]:
        first = int(np.clip(at + first_s * GRID_HZ, 0, last))
        return first, int(np.clip(at + last_s * GRID_HZ, first, last)) + 1

    first, end = bounds(-1.5 * shape.down_s - 0.05, -0.5 * shape.down_s)
    top = first + int(course[first:end].argmin())
    blow = float(course[bounds(-0.1, 0.1)[0] : bounds(-0.1, 0.1)[1]].max())
    still = 0.08 * blow
    begin = top - round(0.4 * shape.back_s * GRID_HZ)
    earliest = max(0, top - round(2.0 * GRID_HZ))
    while begin > earliest and course[max(begin - 5, 0) : begin + 1].max() > still:
        begin -= 1
    finish = at + round(0.8 * shape.down_s * GRID_HZ)
    latest = min(last, at + round(1.8 * GRID_HZ))
    while finish < latest and course[finish : finish + 6].max() > still:
        finish += 1
    return top / GRID_HZ, at / GRID_HZ, max(begin, 0) / GRID_HZ, finish / GRID_HZ
