"""Following a patch one way through the frames, forwards or backwards, from where it is known.

Each frame: the place is predicted from the last movement, searched roughly in a window that grows
with the speed, then found exactly. Two looks are known: the person's own, and a later one. The
later one is renewed slowly, from a frame in which the patch was sure, and only when it no longer
fits; whenever the person's own look fits it sets the place right, so that renewing does not add
up to a drift (after Matthews, Ishikawa and Baker, The Template Update Problem, PAMI 26(6), 2004;
from memory). Where neither fits the patch is lost: nothing is claimed until it is found again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from media_tools.errors import BlankPatch
from media_tools.follow.patch import LONGEST, STEP, Look, Match
from media_tools.follow.pose import Grey, Pose
from media_tools.followed import Box

_LOST = 0.5  # confidence below which no place is claimed
_FITS = 0.42  # quality of a look that is believed while following
_MAY_FIT = 0.35  # and that is looked at again after it was lost
_FITS_AGAIN, _TOGETHER_AGAIN = 0.55, 0.45  # quality and cells' agreement believed then
_FITS_NEAR, _TOGETHER_NEAR = 0.46, 0.2  # and believed where it is expected
_NEAR_PX, _TOGETHER_A_PX = 25.0, 0.2 / 35  # off by more than that, for each pixel so much more
_NEAR_FIRST_PX, _NEAR_STEP_PX, _NEAR_MOST_PX = 24.0, 6.0, 60.0
_NEAR_TURNS = (0.0, 0.22, -0.22, 0.44, -0.44)  # radians since it was lost
_GOOD = 0.62  # quality from which a look needs no renewing
_TOGETHER = 0.6  # quality from which a new look is one piece
_SUDDEN_TURNS = (0.0, 0.12, -0.12)  # radians in a frame
_OFF_PX = 4.0  # in a patch of 96 pixels, were nothing of it agreed
_OFF_BY_TURN = 0.06  # of a side, for each radian
_OFF_HALF_PX = 3.3  # expected to be off so far, it is just not sure any more (`followed.SURE`)
_ASTRAY = 0.15  # of a side: from here on its own look is sought further off, too
_MOST_OFF = 0.6  # of a side: from here on it is lost
_REACH_PX, _REACH_SPEEDS, _MOST_REACH_PX = 18.0, 1.2, 110.0
_LOST_FIRST_PX, _LOST_STEP_PX, _LOST_REACH_PX = 60.0, 14.0, 420.0
_LONG, _THEN_EVERY = 24, 3  # frames: lost so long, it is looked for in some of them only
_FADES = 0.85  # of the last movement, each frame in which it is lost
_MOST_GROWTH = 1.6
_MOST_TURN = 0.5  # radians in a frame
_TURN, _ALL_ROUND = 0.22, 14  # radians from one tried turn to the next; so many each way


@dataclass(frozen=True)
class Step:
    """One frame: where the patch is, its scale by the first box's size, or None where it is lost.

    off_px: how far off it may be, in pixels of the picture; infinite where it is lost.
    """

    pose: Pose | None
    off_px: float = math.inf

    @property
    def confidence(self) -> float:
        """0 to 1: 0.5 and more where it is not lost."""
        if self.pose is None:
            return 0.0
        return _LOST + (1 - _LOST) * math.exp(-((self.off_px / _OFF_HALF_PX) ** 2))


class Walker:
    """Follows one patch. `step` takes the frames in the order of the walk."""

    def __init__(self, frame: Grey, box: Box, size: tuple[float, float]) -> None:
        """`frame`: the box's, shape (rows, columns). `size`: width and height in pixels by which
        scales are told. BlankPatch where all of the box is of one shade.
        """
        shrink = max(1.0, max(size) / LONGEST)
        width, height = (_side(side / shrink) for side in size)
        self._base = max(size[0] / width, size[1] / height)
        self._side = max(size)
        pose = Pose(box.x_px, box.y_px, self._base * box.width_px / size[0])
        self._own = Look(frame, pose, width, height)
        if self._own.is_blank:
            raise BlankPatch(
                "What is in the box is all of one shade, so there is nothing to know it by. Draw "
                "the box round an edge or a pattern."
            )
        self._later = self._own
        self._last = (frame, self._own.exactly(frame, pose))
        self._pose = self._known = pose
        self._speed: tuple[float, ...] = (0.0, 0.0, 0.0)  # pixels right and down, radians a frame
        self._lost_for = 0
        self._drift_px = 0.0
        self._seen = self._own  # how it looked in the last frame before it was lost

    def step(self, frame: Grey) -> Step:
        """Where the patch is in the next frame."""
        match = self._seek(frame) if self._lost_for else self._go_on(frame)
        if match and self._off_px(match) > _ASTRAY * self._side:
            match = self._again_by_own(frame, match)
        if match is None:
            if not self._lost_for:
                frame, last = self._last
                self._seen = Look(frame, last.pose, self._own.width, self._own.height)
            self._lost_for += 1
            return Step(None)
        self._lost_for = 0
        self._last = (frame, match)
        self._pose = self._known = match.pose
        off = self._off_px(match)
        if off > _MOST_OFF * self._side:
            return Step(None)
        pose = match.pose
        told = Pose(pose.x, pose.y, pose.scale / self._base, pose.turn)
        return Step(told, off)

    def _go_on(self, frame: Grey) -> Match | None:
        """From the last place and movement; its looks renewed where they no longer fit."""
        last, (right, down, turn) = self._pose, self._speed
        guess = Pose(last.x + right, last.y + down, last.scale, last.turn + turn)
        reach = min(_MOST_REACH_PX, _REACH_PX + _REACH_SPEEDS * math.hypot(right, down))
        match = self._match(frame, self._later.roughly(frame, guess, reach))
        if match.quality < _GOOD:
            other = self._turned(self._later, frame, guess, reach)
            match = max(match, other, key=lambda m: m.quality)
        if match.quality < _GOOD:
            match = self._renewed(frame, guess, reach, match)
        if match.quality < _FITS or not self._possible(match.pose):
            return None
        pose = match.pose
        if abs(pose.turn - last.turn) > _MOST_TURN:
            return None
        moved = (pose.x - last.x, pose.y - last.y, pose.turn - last.turn)
        self._speed = tuple(0.3 * s + 0.7 * m for s, m in zip(self._speed, moved, strict=True))
        return match

    def _match(self, frame: Grey, rough: Pose) -> Match:
        """By the later look, set right by the person's own where that fits."""
        found = self._later.exactly(frame, rough)
        if self._later is self._own:
            return found
        own = self._own.exactly(frame, found.pose if found.quality > _FITS else rough)
        if own.quality >= _GOOD:
            self._later, self._drift_px = self._own, 0.0
            return own
        return found

    def _turned(self, look: Look, frame: Grey, guess: Pose, reach: float) -> Match:
        """The best match of a look for a patch that may have turned suddenly."""
        tries = [
            look.exactly(frame, look.roughly(frame, guess.turned(turn), reach))
            for turn in _SUDDEN_TURNS
        ]
        best = max(tries, key=lambda match: match.quality)
        return look.exactly(frame, best.pose)

    def _renewed(self, frame: Grey, guess: Pose, reach: float, match: Match) -> Match:
        """By a new look of the last frame, if it is found in this one as one piece.

        What half covers a patch moves apart from the rest of it: a look with a part of that in it
        would not be found as a whole, and is not taken.
        """
        last_frame, last = self._last
        if last.quality < _FITS:
            return match
        look = Look(last_frame, last.pose, self._own.width, self._own.height)
        newer = self._turned(look, frame, guess, reach)
        if newer.quality < max(_TOGETHER, match.quality):
            return match
        self._later = look
        self._drift_px += _OFF_PX * self._base * (1 - last.together)
        return newer

    def _seek(self, frame: Grey) -> Match | None:
        """Look for it again, further off with every frame, by its looks and turns in turn."""
        if self._lost_for > _LONG and self._lost_for % _THEN_EVERY:
            return None
        right, down, turn = (_FADES * speed for speed in self._speed)
        self._speed = (right, down, turn)
        last = self._pose
        self._pose = Pose(last.x + right, last.y + down, last.scale, last.turn + turn)
        found = self._close_by(frame) or self._anywhere(frame)
        if found is None:
            return None
        look, match = found
        self._speed = (0.0, 0.0, 0.0)
        if look is self._own:
            self._drift_px = 0.0
        elif look is self._seen:
            self._drift_px += _OFF_PX * self._base * (1 - self._last[1].together)
        self._later = look
        return match

    def _again_by_own(self, frame: Grey, match: Match) -> Match:
        """The person's own look, where that is found better than what has been followed.

        What passes before the patch may have led astray.
        """
        own = self._sought(self._own, frame, _LOST_REACH_PX / 2, _NEAR_TURNS, self._pose)
        if own.quality < _GOOD or own.together < _TOGETHER_AGAIN or not self._possible(own.pose):
            return match
        self._later, self._drift_px = self._own, 0.0
        self._speed = (0.0, 0.0, 0.0)
        return own

    def _close_by(self, frame: Grey) -> tuple[Look, Match] | None:
        """By how it looked last, close to where it is expected: there less has to be alike.

        A head that goes on turning while it is hidden has changed when it comes back.
        """
        if self._lost_for > _LONG:
            return None
        reach = min(_NEAR_MOST_PX, _NEAR_FIRST_PX + _NEAR_STEP_PX * self._lost_for)
        look = self._seen
        match = self._sought(look, frame, reach, _NEAR_TURNS, self._pose)
        apart = math.hypot(match.pose.x - self._pose.x, match.pose.y - self._pose.y)
        least = _TOGETHER_NEAR + _TOGETHER_A_PX * max(0.0, apart - _NEAR_PX)
        is_it = match.quality >= _FITS_NEAR and match.together >= least
        return (look, match) if is_it and self._possible(match.pose) else None

    def _anywhere(self, frame: Grey) -> tuple[Look, Match] | None:
        """Further off with every frame, by its looks and turns in turn."""
        reach = min(_LOST_REACH_PX, _LOST_FIRST_PX + _LOST_STEP_PX * self._lost_for)
        look = (self._later, self._seen, self._own, self._seen)[self._lost_for % 4]
        # It may not have gone on as fast as it was: sought about where it was last seen as well
        middle = self._known if self._lost_for // 4 % 2 else self._pose
        match = self._sought(look, frame, reach, self._turns(), middle)
        is_it = match.quality >= _FITS_AGAIN and match.together >= _TOGETHER_AGAIN
        return (look, match) if is_it and self._possible(match.pose) else None

    def _sought(
        self, look: Look, frame: Grey, reach: float, turns: Sequence[float], middle: Pose
    ) -> Match:
        """The best match of a look within `reach` pixels of a place."""
        places = look.turned(frame, middle, reach, turns)
        match = max((look.exactly(frame, pose) for pose in places), key=lambda m: m.quality)
        return look.exactly(frame, match.pose) if match.quality >= _MAY_FIT else match

    def _turns(self) -> list[float]:
        """How it may have turned since it was lost: more with every frame, up to all round.

        Once that is many, half of them in every other frame.
        """
        count = min(_ALL_ROUND, 3 + self._lost_for // 2)
        turns = [k * _TURN for k in range(-count, count + 1)]
        return turns if count < _ALL_ROUND else turns[self._lost_for // 2 % 2 :: 2]

    def _possible(self, pose: Pose) -> bool:
        return 1 / _MOST_GROWTH < pose.scale / self._base < _MOST_GROWTH

    def _off_px(self, match: Match) -> float:
        """How far off a match may be, in pixels of the picture, by what was seen while tuning.

        By what of the patch doesn't agree, or, where its edges all run one way, how far it may
        have slid along them, since its parts do that as one; by every renewal that lies between
        the person's own look and this one; and, by a later look, by how far it has turned since:
        what a thing turns about is seldom the middle of its box.
        """
        off = self._drift_px + self._base * max(_OFF_PX * (1 - match.together), match.along)
        if self._later is not self._own:
            off += _OFF_BY_TURN * self._side * abs(match.pose.turn)
        return off


def _side(pixels: float) -> int:
    """A side of a look: the nearest that cells and halves divide."""
    return max(2 * STEP, STEP * round(pixels / STEP))
