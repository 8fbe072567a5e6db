"""A patch of a picture that is known again: its look, and where another picture has it.

A look is kept square to the patch (turned and sized back), so one look serves while the patch
turns and grows. It is matched three times: roughly, over a window, at a part of its size; in nine
cells, each for itself, whose shifts are fitted to one movement (shift, turn, growth) in which
those that disagree count less; and as a whole, to a fraction of a pixel, which is the place. The
whole is steadier than its cells where a head looks away and its outline stays; cells tell the
turn, and what is covered and must be left out of the whole. Knows nothing of golf.

Sub-pixel peak: a parabola through the highest value and its neighbours, the usual way of
correlation (Tian and Huhns 1986, CVGIP 35, 220; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from media_tools.follow.pose import Grey, Pose, window

Floats = npt.NDArray[np.float64]

LONGEST = 96  # of a look's sides, in its own pixels: larger patches are kept smaller
CELLS = 3  # a side
STEP = 12  # a look's sides are multiples of it: of cells, and of what is halved twice
REACH = 5  # how far a cell looks, in the look's pixels
_FLAT = 3.0  # standard deviation of grey levels below which a cell knows nothing
_SURE = 0.5  # correlation from which a cell's say counts
_OFF = 1.5  # how far from the others, in the look's pixels, halves a cell's say
_KEPT = 0.55  # likeness below which a cell is taken as covered
_MOST_COVERED = 8  # of nine cells: so many or more kept, the look is taken whole
_PERFECT = 1.05  # likeness against which what is missing is told, so that no peak is endless
_MOST = (0.08, 0.25)  # growth and radians that cells may find at once
_ROUNDS = 3
_NEAR = 64  # how far is looked for at half the size; further off at a quarter
_FAR_LOSES = 0.15  # of likeness, at the rim of the window
# Less trust in corners, where a box drawn round a thing has background
_BY_PLACE = np.array([0.5, 0.8, 0.5, 0.8, 1.0, 0.8, 0.5, 0.8, 0.5])
# What is expected of a movement within one frame beyond the rough one: 2 px, 2 degrees, 2 percent
_PRIOR = np.diag([1 / 2.0**2, 1 / 2.0**2, 1 / 0.02**2, 1 / 0.035**2])


@dataclass(frozen=True)
class Match:
    """A pose, and how sure it is.

    together: 0 to 1, the share of the cells that agree on it, by how well they do.
    likeness: -1 to 1, the correlation of the look, or of what can be seen of it, as a whole.
    along: how much further it may be off along its edges than across them, in the look's pixels:
        so far, what is missing of the likeness may have taken it. Small where it has edges of
        many directions.
    """

    pose: Pose
    together: float
    likeness: float
    along: float = 0.0

    @property
    def quality(self) -> float:
        """0 to 1."""
        return 0.5 * self.together + 0.5 * max(0.0, self.likeness)


class Look:
    """How a patch looked once."""

    def __init__(self, frame: Grey, pose: Pose, width: int, height: int) -> None:
        """`width` and `height` in the look's own pixels, multiples of `STEP`."""
        self._first = pose
        self.picture = window(frame, pose, width, height)
        self.width, self.height = width, height
        self._small = [cv2.resize(self.picture, None, fx=f, fy=f, interpolation=cv2.INTER_AREA)
                       for f in (0.5, 0.25)]  # fmt: skip
        self._small_turned: dict[float, Grey] = {}
        wide, tall = width // CELLS, height // CELLS
        self._corners = [(i * tall, j * wide) for i in range(CELLS) for j in range(CELLS)]
        self._cells = [self.picture[y : y + tall, x : x + wide] for y, x in self._corners]
        self._knows = np.array([float(cell.std()) >= _FLAT for cell in self._cells])
        middles = [(x + wide / 2 - width / 2, y + tall / 2 - height / 2) for y, x in self._corners]
        self._middles = np.array(middles)
        self._weights = np.where(self._knows, _BY_PLACE, 0.0)

    @property
    def is_blank(self) -> bool:
        """Whether there is nothing to know it by."""
        return not self._knows.any()

    def roughly(self, frame: Grey, pose: Pose, reach_px: float) -> Pose:
        """The likeliest place within `reach_px` pixels of a pose, to about two pixels.

        Likeness falls off with the distance, so that of two alike the nearer one is taken.
        """
        reach = max(4, round(reach_px / pose.scale))
        reach += -reach % 4
        level = 0 if reach <= _NEAR else 1
        share = (0.5, 0.25)[level]
        # Far off, half of the picture's lines are enough to begin with
        coarse = (1, 2)[level]
        seen = window(
            frame,
            Pose(pose.x, pose.y, pose.scale * coarse, pose.turn),
            (self.width + 2 * reach) // coarse,
            (self.height + 2 * reach) // coarse,
        )
        small = cv2.resize(seen, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
        likeness = cv2.matchTemplate(small, self._small[level], cv2.TM_CCOEFF_NORMED)
        tall, wide = likeness.shape
        down, right = np.linspace(-1, 1, tall)[:, None], np.linspace(-1, 1, wide)
        favoured = likeness - _FAR_LOSES * (down**2 + right**2)
        y, x = divmod(int(np.argmax(favoured)), wide)
        return pose.moved((x - (wide - 1) / 2) / share, (y - (tall - 1) / 2) / share)

    def turned(
        self, frame: Grey, pose: Pose, reach_px: float, turns: Sequence[float]
    ) -> list[Pose]:
        """The likeliest two poses for a patch that may have turned, at a quarter of the size."""
        reach = max(8, round(reach_px / pose.scale))
        reach += -reach % 4
        wide, tall = (self.width + 2 * reach) // 2, (self.height + 2 * reach) // 2
        half = window(frame, Pose(pose.x, pose.y, pose.scale * 2, pose.turn), wide, tall)
        small = cv2.resize(half, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
        found = []
        for turn in turns:
            likeness = cv2.matchTemplate(small, self._turned_by(turn), cv2.TM_CCOEFF_NORMED)
            _, best, _, (x, y) = cv2.minMaxLoc(likeness)
            tall, wide = likeness.shape
            place = pose.moved(4 * (x - (wide - 1) / 2), 4 * (y - (tall - 1) / 2))
            found.append((best, place.turned(turn)))
        found.sort(key=lambda each: each[0], reverse=True)
        return [place for _, place in found[:2]]

    def _turned_by(self, turn: float) -> Grey:
        """The look at a quarter of its size, as it is when the patch has turned."""
        if turn not in self._small_turned:
            c, s = math.cos(turn), math.sin(turn)
            mx, my = (self.width - 1) / 2, (self.height - 1) / 2
            back = np.array([[c, s, mx - c * mx - s * my], [-s, c, my + s * mx - c * my]])
            turned = cv2.warpAffine(
                self.picture,
                back,
                (self.width, self.height),
                flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
                borderMode=cv2.BORDER_REPLICATE,
            )
            small = cv2.resize(turned, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
            self._small_turned[turn] = small  # type: ignore[assignment]
        return self._small_turned[turn]

    def exactly(self, frame: Grey, pose: Pose) -> Match:
        """The pose within a few pixels of a rough one.

        The cells tell the turn, the growth, and which of them are covered; the place is that of
        the patch as a whole, or of what can be seen of it.
        """
        seen = window(frame, pose, self.width + 2 * REACH, self.height + 2 * REACH)
        offsets, sharpness, likeness = self._ask(seen)
        weights = self._weights * np.clip((likeness - _SURE) / (1 - _SURE), 0.02, 1)
        change, agree = self._fitted(offsets, sharpness, weights)
        together = float((self._weights * agree * np.clip(likeness, 0, 1)).sum())
        together /= float(self._weights.sum()) or 1.0
        moved = pose.moved(float(change[0]), float(change[1]))
        grown, turn = (
            float(np.clip(value, -m, m)) for value, m in zip(change[2:], _MOST, strict=True)
        )
        fitted = Pose(moved.x, moved.y, pose.scale * (1 + grown), pose.turn + turn)
        # A cell that is alike but elsewhere has turned with the thing; one that is not is covered
        kept = likeness >= _KEPT
        mask = self._mask(kept) if 3 <= kept.sum() < _MOST_COVERED else None
        tries = [fitted, *(Pose(fitted.x, fitted.y, *kind) for kind in self._plain(pose))]
        placed = (self._placed(frame, each, mask, together) for each in tries)
        return max(placed, key=lambda match: match.likeness)

    def _plain(self, pose: Pose) -> list[tuple[float, float]]:
        """Scales and turns that are likelier than what cells make of a face that looks away."""
        return [*{(pose.scale, pose.turn), (self._first.scale, self._first.turn)}]

    def _fitted(self, offsets: Floats, sharpness: Floats, weights: Floats) -> tuple[Floats, Floats]:
        """Shift right, down, growth and turn (4,), and how far each cell agrees with them (n,)."""
        agree = np.ones(len(weights))
        change = np.zeros(4)
        jacobian = self._jacobian()
        for _ in range(_ROUNDS):
            trust = sharpness * (weights * agree)[:, None, None]
            by = np.einsum("nki,nkl->nil", jacobian, trust)
            normal = np.einsum("nil,nlj->ij", by, jacobian) + _PRIOR
            change = np.linalg.solve(normal, np.einsum("nil,nl->i", by, offsets))
            off = offsets - np.einsum("nki,i->nk", jacobian, change)
            # Along an edge a cell knows nothing of where it is: off only counts across it
            agree = 1 / (1 + _across(off, sharpness) / _OFF**2)
        return change, agree

    def _placed(self, frame: Grey, pose: Pose, mask: Grey | None, together: float) -> Match:
        """Where the whole look, or what `mask` leaves of it, is most alike near a pose."""
        seen = window(frame, pose, self.width + 2 * REACH, self.height + 2 * REACH)
        if mask is None:
            like = cv2.matchTemplate(seen, self.picture, cv2.TM_CCOEFF_NORMED)
        else:
            like = cv2.matchTemplate(seen, self.picture, cv2.TM_CCOEFF_NORMED, mask=mask)
            like[~np.isfinite(like)] = 0
        (right, down), sharpness, best = _peak(like)
        if best <= 0:
            return Match(pose, together, 0.0)
        return Match(pose.moved(right, down), together, best, _along(sharpness, best))

    def _mask(self, kept: npt.NDArray[np.bool_]) -> Grey:
        """255 in the cells that are kept."""
        mask = np.zeros((self.height, self.width), np.uint8)
        for (y, x), cell, keep in zip(self._corners, self._cells, kept, strict=True):
            if keep:
                mask[y : y + cell.shape[0], x : x + cell.shape[1]] = 255
        return mask

    def _ask(self, seen: Grey) -> tuple[Floats, Floats, Floats]:
        """Of each cell: its offset (n, 2), how sharply it knows it (n, 2, 2), its likeness (n,)."""
        count = len(self._cells)
        offsets, sharpness = np.zeros((count, 2)), np.zeros((count, 2, 2))
        likeness = np.zeros(count)
        for n, (cell, (y, x)) in enumerate(zip(self._cells, self._corners, strict=True)):
            if not self._knows[n]:
                continue
            tall, wide = cell.shape
            part = seen[y : y + tall + 2 * REACH, x : x + wide + 2 * REACH]
            like = cv2.matchTemplate(part, cell, cv2.TM_CCOEFF_NORMED)
            offsets[n], sharpness[n], likeness[n] = _peak(like)
        return offsets, sharpness, likeness

    def _jacobian(self) -> Floats:
        """(n, 2, 4): how each cell's middle moves with shift right, down, growth, turn."""
        x, y = self._middles[:, 0], self._middles[:, 1]
        one, none = np.ones_like(x), np.zeros_like(x)
        return np.stack([np.stack([one, none, x, -y], 1), np.stack([none, one, y, x], 1)], 1)


def _across(off: Floats, sharpness: Floats) -> Floats:
    """Squared distances (n,), each direction by how sharply it is known against the sharpest."""
    most = np.trace(sharpness, axis1=1, axis2=2) + 1e-9
    squared: Floats = np.einsum("ni,nij,nj->n", off, sharpness, off) / most
    return squared


def _along(sharpness: Floats, best: float) -> float:
    """How far off along the blunter direction of a peak, beyond that along the sharper one.

    A likeness of curvature c falls by c d^2 / 2 over a distance d, so by as much as is missing
    of it over sqrt(2 (1 - best) / c). Along the straight rim of a plain thing all looks the same
    (the aperture problem): c is small there, and the place may have slid so far unnoticed.
    """
    blunt, sharp = np.linalg.eigvalsh(sharpness * (_PERFECT - best))
    missing = math.sqrt(2 * max(0.0, 1 - best))
    return float(missing * (1 / math.sqrt(max(blunt, 1e-6)) - 1 / math.sqrt(max(sharp, 1e-6))))


def _peak(likeness: npt.NDArray[Any]) -> tuple[tuple[float, float], Floats, float]:
    """Where the highest value is (right, down of the middle), how sharp it is there, and it."""
    _, best, _, (x, y) = cv2.minMaxLoc(likeness)
    size = likeness.shape[0]
    middle = (size - 1) / 2
    if not math.isfinite(best) or not (0 < x < size - 1 and 0 < y < size - 1):
        return (x - middle, y - middle), np.zeros((2, 2)), 0.0  # on the rim: it may go on outside
    near = likeness[y - 1 : y + 2, x - 1 : x + 2].astype(np.float64)
    xx = max(2 * near[1, 1] - near[1, 0] - near[1, 2], 1e-6)
    yy = max(2 * near[1, 1] - near[0, 1] - near[2, 1], 1e-6)
    xy = -(near[2, 2] + near[0, 0] - near[0, 2] - near[2, 0]) / 4
    xy = math.copysign(min(abs(xy), 0.95 * math.sqrt(xx * yy)), xy)
    right = (near[1, 2] - near[1, 0]) / (2 * xx)
    down = (near[2, 1] - near[0, 1]) / (2 * yy)
    sharpness = np.array([[xx, xy], [xy, yy]]) / (_PERFECT - best)
    right, down = (min(max(float(value), -0.5), 0.5) for value in (right, down))
    return (x - middle + right, y - middle + down), sharpness, best
