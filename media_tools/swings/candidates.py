"""What may be a swing by its motion alone, with the evidence for it.

Motion is looked at in several parts of the picture, so that somebody who walks through one part
does not hide a swing in another.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import sliding_window_view

from media_tools.motion import Motion
from media_tools.swings.shape import Course, Template, likeness, templates

GRID_HZ = 60.0  # of the even clock on which everything here is computed, in real seconds
_EVERY = 2  # samples of it between those that are compared with the templates
_BLOCK_S = 10.0  # the stillest 30 % of so long a time are a cell's own noise
_STILLEST = 30
_LEAST_LIKE = 0.5
_APART_S = 0.15  # between two places that are looked at: one swing has several, the best wins
_NARROWEST = 6  # columns: a picture this narrow holds one player only
_PARTS = 5
_TAKES_PART = 0.2  # of the motion of the cell that moves most
_SURE = 1.0  # log odds
_WEAK = 10.0  # log odds for each factor e that the player moves less than half as much as usual
# Where the player moves as much as ever, somebody passing may hide how: a clear strike decides.
_STRONG, _HIDDEN = 0.8, -3.0
_AROUND_S = 3.0  # that far on both sides of a strike its moments are looked for
_STILL = 0.08  # of the blow: a player this quiet stands
# Where the motion is least and where it is most do not lie exactly on top and strike: the hips
# start down before the arms are up, the arms slow down before the club meets the ball. By how
# much was measured on the mannequin's footage.
_TOP_LATER_S, _STRIKE_LATER_S, _MIDDLE_LATER_S = 0.030, 0.025, 0.063

Grid = npt.NDArray[np.float32]


@dataclass(frozen=True)
class Signs:
    """What speaks for or against a swing; each is about 0 where it says nothing.

    like: correlation with the template, less 0.85.
    pause: how strong the motion still is at the top, as a share of the blow's, less 0.4.
    before, after: how strong it is before the begin and after the finish, above a quarter.
    place: how much the cells that move down are those that moved back, less 0.6.
    drift: how many cells the middle of the motion wanders from backswing to downswing, above 1.2.
    """

    like: float
    pause: float
    before: float
    after: float
    place: float
    drift: float

    @property
    def evidence(self) -> float:
        """Log odds. The weights were fitted on the mannequin's footage, then rounded."""
        return (
            30 * self.like
            - 7 * self.pause
            - 4 * (self.before + self.after)
            + 7 * self.place
            - self.drift
            - 2
        )


@dataclass(frozen=True, eq=False)
class Candidate:
    """A stretch of a clip that moves as a swing does. Seconds of real time from the first frame.

    evidence: log odds that it is one; 0 is even.
    cells: (rows, columns), how strongly each part of the picture moves.
    """

    begin_s: float
    top_s: float
    strike_s: float
    finish_s: float
    evidence: float
    cells: Grid
    signs: Signs


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
    found = _search(field, list(field.parts()))
    if not found:
        return []
    sure = [c for c in found if c.evidence > _SURE] or [max(found, key=lambda c: c.evidence)]
    # once more in the cells that the player of this clip moves, without what else moves
    strength = sum((c.cells / (c.cells.max() + 1e-6) for c in sure), np.zeros(1, np.float32))
    mine = strength > _TAKES_PART * strength.max()
    own = field.energy[:, mine].sum(axis=1)
    found += _search(field, [own])
    # the player stays the same: what moves them far less than the likeliest swing does is none
    usual = float(np.median([c.cells[mine].sum() for c in sure])) + 1e-6
    found = [_beside(c, float(c.cells[mine].sum()) / usual) for c in found]
    return sorted(found, key=lambda c: c.strike_s)


def _search(field: Field, parts: list[Course]) -> list[Candidate]:
    parts = [smoothed(part, 3) for part in parts]
    return [_looked_at(field, *peak) for peak in _peaks(parts)]


def _even(motion: Motion, rate: float) -> Grid:
    """Energy by an even clock of real seconds, with each cell's noise taken out.

    A frame's energy is what changed since the frame before, so it is spread over that time.
    """
    times = (motion.times_us - motion.times_us[0]) / (1e6 * rate)
    pieces, begun = [], 0
    for end_s in np.arange(_BLOCK_S, times[-1] + _BLOCK_S, _BLOCK_S):
        end = min(round(end_s * GRID_HZ), int(times[-1] * GRID_HZ) + 1)
        edges = np.arange(begun, end + 1) / GRID_HZ
        begun = end
        low = max(int(np.searchsorted(times, edges[0], side="right")) - 1, 0)
        high = int(np.searchsorted(times, edges[-1], side="left")) + 1
        energy = motion.energy[low:high].astype(np.float32)
        moved = energy[energy.any(axis=(1, 2))]  # a frame sent twice is no stillness
        if len(moved) and len(edges) > 1:
            noise = np.percentile(moved, _STILLEST, axis=0)
            energy = np.sqrt(np.maximum(energy * energy - noise * noise, 0))
        energy[0] = 0
        total = np.cumsum(energy, axis=0, dtype=np.float64)
        own = times[low:high]
        after = np.clip(np.searchsorted(own, edges, side="left"), 1, max(len(own) - 1, 1))
        after = np.minimum(after, len(own) - 1)
        before = np.maximum(after - 1, 0)
        share = (edges - own[before]) / np.maximum(own[after] - own[before], 1e-6)
        share = np.clip(share, 0, 1)[:, None, None]
        pieces.append(np.diff(total[before] * (1 - share) + total[after] * share, axis=0))
    result: Grid = np.concatenate(pieces).astype(np.float32)
    return result


def smoothed(course: Course, samples: int) -> Course:
    """The mean of each sample and its neighbours."""
    even = np.convolve(course, np.ones(samples) / samples, mode="same")
    return even.astype(np.float32)


def _peaks(parts: list[Course]) -> Iterator[tuple[int, float, Template, Course]]:
    """Where the likeness to a swing is greatest: sample, likeness, template, course."""
    shapes = templates(GRID_HZ / _EVERY)
    best: Course | None = None
    for number, part in enumerate(parts):
        # the root brings the backswing nearer to the blow, which varies most
        course = np.sqrt(np.maximum(part[::_EVERY], 0))
        for index, shape in enumerate(shapes):
            like = likeness(course, shape)
            if best is None:
                best = np.full_like(like, -1.0)
                which = np.zeros((len(like), 2), np.int32)
            better = like > best
            best[better] = like[better]
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
        yield at * _EVERY, float(best[at]), shapes[index], parts[number]


def _looked_at(field: Field, at: int, like: float, shape: Template, course: Course) -> Candidate:
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
    signs = Signs(
        like - 0.85,
        pause - 0.4,
        max(before - 0.25, 0),
        max(after - 0.25, 0),
        _alike(going_back, coming_down) - 0.6,
        max(_apart(going_back, coming_down) - 1.2, 0),
    )
    moments = _moments(field, going_back + coming_down, at, shape)
    return Candidate(*moments, signs.evidence, going_back + coming_down, signs)


def _beside(c: Candidate, share: float) -> Candidate:
    """A candidate beside the usual swing of its clip, of which it has a share of the motion."""
    evidence = c.evidence + _WEAK * min(float(np.log(max(share, 1e-3) / 0.5)), 0.0)
    if share > _STRONG:
        evidence = max(evidence, _HIDDEN)
    return replace(c, evidence=evidence)


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


def _moments(
    field: Field, strength: Grid, at: int, shape: Template
) -> tuple[float, float, float, float]:
    """Begin, top, strike and finish in seconds, read off the cells that take part."""
    first = max(0, at - round(_AROUND_S * GRID_HZ))
    around = field.energy[first : at + round(_AROUND_S * GRID_HZ)]
    weight = (strength > _TAKES_PART * strength.max()).astype(np.float32)
    course = smoothed(np.tensordot(around, weight, axes=([1, 2], [0, 1])), 3)
    hit, last = at - first, len(course) - 1

    def sample(from_hit_s: float) -> int:
        return int(np.clip(round(hit + from_hit_s * GRID_HZ), 0, last))

    low, high = sample(-1.5 * shape.down_s - 0.05), sample(-0.5 * shape.down_s)
    top = low + int(course[low : high + 1].argmin())
    left, right = sample(-0.2), sample(0.3)
    blow = course[left : right + 1]
    over = np.maximum(blow - 0.5 * blow.max(), 0)
    middle = left + float((over * np.arange(len(over))).sum() / (over.sum() + 1e-6))
    still = _STILL * float(blow.max())
    # sample k: whether all is still from there for a tenth of a second
    quiet = np.flatnonzero(sliding_window_view(course, min(6, len(course))).max(axis=1) <= still)
    going, ending = top - round(0.4 * shape.back_s * GRID_HZ), sample(0.8 * shape.down_s)
    earlier, later = quiet[quiet <= going - 5], quiet[quiet >= ending]
    begin = int(earlier[-1]) + 5 if len(earlier) else 0
    finish = int(later[0]) if len(later) else last
    seconds = first / GRID_HZ
    strike = (hit / GRID_HZ + _STRIKE_LATER_S + middle / GRID_HZ + _MIDDLE_LATER_S) / 2
    return (
        seconds + begin / GRID_HZ,
        seconds + top / GRID_HZ + _TOP_LATER_S,
        seconds + strike,
        seconds + finish / GRID_HZ,
    )
