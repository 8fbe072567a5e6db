"""Mannequin films to follow patches in, made hard: blur, noise, growth, covering, hiding.

The truth is the joint's own pixel as the mannequin tells it. The head is followed as it is drawn.
The mannequin's trousers and gloves are plain, and a joint inside a body is no spot of its cloth:
at a hip and at the grip a patterned cloth is painted over the joint, which turns with the pelvis
and with the shaft. The plain ones, as drawn, are followed as well, for what is said of them.

A head that follows the ball to the finish turns its boxed side away by up to 84 degrees while it
is hidden and before.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

import cv2
import numpy as np
from numpy.typing import NDArray

from media_tools.follow import Box, Path
from media_tools.mannequin import (
    BUILDS,
    Film,
    SwingSpec,
    TimedSwing,
    Truth,
    frame_count,
    swaying,
    swinger,
    truth_of,
)
from media_tools.mannequin.frames import draw_array

SIZE = (1920, 1080)
GROWTH = 0.05  # over the whole clip, as when somebody walks nearer with the phone
START_S, TAIL_S = 0.35, 0.4
SHADES = ((150, 60, 40), (40, 90, 140), (190, 180, 160), (60, 60, 66), (120, 40, 90))
Grey = NDArray[np.uint8]
Places = NDArray[np.float64]


@dataclass(frozen=True)
class Patch:
    """What is boxed: at which joint, how large in metres, at which position."""

    joint: str
    size_m: tuple[float, float]
    boxed_at: str = "P1"
    turns_with: tuple[str, str] | None = None  # a cloth is painted that turns with this line
    from_behind: bool = False  # followed down the line, too


BARRED = {
    "head": Patch("head", (0.24, 0.30), from_behind=True),
    "hip": Patch("trail_hip", (0.22, 0.22), turns_with=("lead_hip", "trail_hip"), from_behind=True),
    "grip": Patch("grip", (0.18, 0.18), turns_with=("grip", "club_head")),
}
# At address the hands hang before the hips
PLAIN = {
    "plain_hips": Patch("hips", (0.46, 0.30), boxed_at="P4"),
    "plain_grip": Patch("grip", (0.2, 0.2)),
}


@dataclass
class Hiding:
    """Frames first to last, both included, in which something covers a share of a patch."""

    first: int
    last: int
    share: float  # 1: all of it

    @property
    def is_whole(self) -> bool:
        return self.share >= 1


@dataclass
class Clip:
    """One patch in one film: grey frames, where the patch truly is, what hides it when."""

    name: str
    seed: int
    pictures: list[Grey]
    truth: Places  # (frames, 2)
    box: Box
    hidings: list[Hiding]
    hz: float
    growth: NDArray[np.float64]  # (frames,) size of the picture by the first frame's

    @property
    def hidden(self) -> NDArray[np.bool_]:
        """Frames in which nothing of it can be seen."""
        found = np.zeros(len(self.pictures), dtype=bool)
        for hiding in self.hidings:
            if hiding.is_whole:
                found[hiding.first : hiding.last + 1] = True
        return found

    def overlap(self, path: Path) -> NDArray[np.float64]:
        """Share (frames,) of both boxes, a path's and the true one, that they have in common."""
        sides = np.array([self.box.width_px, self.box.height_px])
        true = sides * (self.growth / self.growth[self.box.frame])[:, None]
        claimed = sides * path.scale[:, None]
        apart = np.abs(np.stack([path.x_px, path.y_px], 1) - self.truth)
        both = np.clip((true + claimed) / 2 - apart, 0, np.minimum(true, claimed)).prod(1)
        shared: NDArray[np.float64] = both / (true.prod(1) + claimed.prod(1) - both)
        return shared


def film_of(seed: int) -> Film:
    """A swing of somebody, filmed face-on or down the line."""
    dice = random.Random(seed)
    build = dice.choice(sorted(BUILDS))
    sway, lift = swaying(dice.uniform(0.0, 0.09), rise_m=dice.uniform(0.0, 0.05))
    swing = SwingSpec(
        backswing_s=dice.uniform(0.7, 1.0),
        downswing_s=dice.uniform(0.23, 0.32),
        sway_m=sway,
        lift_m=lift,
        release=dice.uniform(0, 0.6),
    )
    person = swinger(
        build,
        handed=dice.choice(("right", "left")),
        shirt=dice.choice(SHADES),
        cap=dice.choice(SHADES),
    )
    return Film(
        swinger=person,
        swings=(TimedSwing(START_S, swing),),
        view="down-the-line" if seed % 3 == 0 else "face-on",
        size_px=SIZE,
        fps=Fraction(120 if seed % 2 == 0 else 60),
        duration_s=START_S + swing.backswing_s + 2.6 * swing.downswing_s + TAIL_S,
        seed=seed,
    )


def clips(seed: int, patches: dict[str, Patch]) -> Iterator[Clip]:
    """Patches of one film; its frames are drawn once and spoilt for each patch anew."""
    film = film_of(seed)
    drawn = [_grey(film, n) for n in range(frame_count(film))]
    truth = truth_of(film)
    for number, (name, patch) in enumerate(patches.items()):
        if film.view != "face-on" and not patch.from_behind:
            continue
        yield _clip(name, seed, 1000 * seed + number, film, drawn, truth, patch)


def _clip(
    name: str, seed: int, dice_seed: int, film: Film, drawn: list[Grey], truth: Truth, patch: Patch
) -> Clip:
    dice = random.Random(dice_seed)
    middle = np.array([SIZE[0] / 2, SIZE[1] / 2])
    scale = 1 + GROWTH * np.linspace(0, 1, len(drawn))
    places = _places(truth, patch.joint)
    cloth = _Cloth(dice, truth, patch)
    grown = middle + (places - middle) * scale[:, None]
    sides = patch.size_m[0] * truth.px_per_m, patch.size_m[1] * truth.px_per_m
    hz = float(film.fps)
    hidings = _hidings(dice, len(drawn), round(hz * START_S), hz)
    covers = [_Cover(dice, hiding, sides) for hiding in hidings]
    blur, noise = dice.uniform(0, 1.6), dice.uniform(2, 10)
    rough = np.random.default_rng(dice_seed).standard_normal((SIZE[1], SIZE[0])) * noise
    grain = rough.astype(np.float32)
    pictures = []
    for k, picture in enumerate(drawn):
        worn = cloth.on(picture, k, places[k])
        turned = cv2.getRotationMatrix2D((float(middle[0]), float(middle[1])), 0, float(scale[k]))
        seen = cv2.warpAffine(worn, turned, SIZE, borderMode=cv2.BORDER_REPLICATE)
        for cover in covers:
            cover.lay(seen, k, grown[k])
        if blur > 0.3:
            seen = cv2.GaussianBlur(seen, (0, 0), blur)
        moved = np.roll(grain, (dice.randrange(SIZE[1]), dice.randrange(SIZE[0])), (0, 1))
        pictures.append(np.clip(seen + moved, 0, 255).astype(np.uint8))
    first = truth.frame_at(truth.swings[0].positions_us[patch.boxed_at])
    box = Box(first, float(grown[first, 0]), float(grown[first, 1]), *sides)
    return Clip(name, seed, pictures, grown, box, hidings, hz, scale)


def _places(truth: Truth, joint: str) -> Places:
    """Where a joint is in each frame; the hips' middle lies between their two joints."""
    if joint == "hips":
        both: Places = (_places(truth, "lead_hip") + _places(truth, "trail_hip")) / 2
        return both
    return np.array([p if p else (math.nan, math.nan) for p in truth.joints[joint]])


def _grey(film: Film, number: int) -> Grey:
    """A drawn frame; grey, as what is followed reads it."""
    grey: Grey = cv2.cvtColor(draw_array(film, number), cv2.COLOR_RGB2GRAY)
    return grey


class _Cloth:
    """A round patterned cloth over a joint; nothing where the patch is followed as drawn."""

    def __init__(self, dice: random.Random, truth: Truth, patch: Patch) -> None:
        self.side = round(1.15 * patch.size_m[0] * truth.px_per_m)
        rough = np.random.default_rng(dice.randrange(10**6)).integers(30, 225, (9, 9))
        self.picture = cv2.resize(
            rough.astype(np.uint8), (self.side, self.side), interpolation=cv2.INTER_CUBIC
        )
        self.mask = np.zeros_like(self.picture)
        half = self.side // 2
        cv2.circle(self.mask, (half, half), half - 1, 255, -1)
        self.turns: Places | None = None
        if patch.turns_with:
            a, b = (_places(truth, joint) for joint in patch.turns_with)
            across, down = (b - a).T
            if patch.joint != "grip":
                # From behind, the line between the hips is short and points about
                across = np.full_like(across, np.abs(across).max() + 1)
            self.turns = np.unwrap(np.arctan2(down, across))

    def on(self, picture: Grey, k: int, place: NDArray[np.float64]) -> Grey:
        """The picture with the cloth on it, to a fraction of a pixel."""
        if self.turns is None:
            return picture
        x0, y0 = (max(0, int(value) - self.side) for value in place)
        around = picture[y0 : y0 + 2 * self.side, x0 : x0 + 2 * self.side]
        size = around.shape[1], around.shape[0]
        half = (self.side - 1) / 2
        c, s = math.cos(float(self.turns[k])), math.sin(float(self.turns[k]))
        x, y = place[0] - x0, place[1] - y0
        lay = np.array([[c, -s, x - c * half + s * half], [s, c, y - s * half - c * half]])
        cloth = cv2.warpAffine(self.picture, lay, size, borderMode=cv2.BORDER_REPLICATE)
        share = cv2.warpAffine(self.mask, lay, size).astype(np.float32) / 255
        worn = picture.copy()
        worn[y0 : y0 + size[1], x0 : x0 + size[0]] = around * (1 - share) + cloth * share
        return worn


def _hidings(dice: random.Random, count: int, first: int, hz: float) -> list[Hiding]:
    """A third covered once, all of it hidden twice, well apart, none at the first position."""
    kinds = [dice.uniform(0.25, 0.4), 1.0, 1.0]
    dice.shuffle(kinds)
    begin = first + round(0.12 * hz)
    room = (count - begin) / len(kinds)
    found = []
    for n, share in enumerate(kinds):
        length = round(dice.uniform(4, 0.1 * hz + 4))
        start = round(begin + n * room + dice.uniform(0.05, 0.4) * room)
        found.append(Hiding(start, min(start + length - 1, count - 14), share))
    return found


class _Cover:
    """Something of stripes and spots, or plain, that stands before a patch for a while."""

    def __init__(self, dice: random.Random, hiding: Hiding, sides: tuple[float, float]) -> None:
        self.hiding = hiding
        self.sides = sides
        self.side = dice.choice(("left", "right", "top", "bottom"))
        rough = np.random.default_rng(dice.randrange(10**6)).integers(0, 255, (9, 9))
        picture = cv2.resize(rough.astype(np.uint8), (420, 420), interpolation=cv2.INTER_CUBIC)
        self.picture = picture if dice.random() < 0.5 else np.full_like(picture, 96)

    def lay(self, seen: Grey, k: int, place: NDArray[np.float64]) -> None:
        """Cover the patch's share in frame k; a whole hiding reaches a quarter past its edges."""
        if not self.hiding.first <= k <= self.hiding.last:
            return
        wide, tall = (1.3 * side for side in self.sides)
        left, top = place[0] - wide / 2, place[1] - tall / 2
        share = self.hiding.share
        if share < 1:
            if self.side in {"left", "right"}:
                left += 0 if self.side == "left" else wide * (1 - share)
                wide *= share
            else:
                top += 0 if self.side == "top" else tall * (1 - share)
                tall *= share
        x0, y0 = max(0, round(left)), max(0, round(top))
        x1, y1 = min(SIZE[0], round(left + wide)), min(SIZE[1], round(top + tall))
        if x1 > x0 and y1 > y0:
            seen[y0:y1, x0:x1] = self.picture[: y1 - y0, : x1 - x0]
