"""From boxes to one path: each box is followed both ways, and what lies between two is joined."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np

from media_tools.errors import Stopped
from media_tools.follow.frames import Frames
from media_tools.follow.pose import Pose
from media_tools.follow.walk import Step, Walker
from media_tools.followed import Box, Path, error_px

NOWHERE = Step(None)
CLAIMED = 0.2  # of a side: a place that may be further off is claimed by no way alone
_SAME_PX = 3.0  # two ways that are this near go to the same place
_NEAR = 0.25  # of the shorter side: so near they still follow the same thing
_FURTHER = 1.5  # 95 of 100 places are off by no more than so many times what was expected
_AGREED = 0.1  # of a side: two ways that agree are taken to be off at least so far


def follow(
    frames: Frames,
    boxes: Sequence[Box],
    *,
    on_progress: Callable[[float], None] = lambda fraction: None,
    should_stop: Callable[[], bool] = lambda: False,
) -> Path:
    """Where the patch of the first box is in every frame.

    boxes: the first as it was drawn, then what a person set right since, at other frames and in
        any order; at the frame of a box the path goes through it, and its width by the first
        one's is the patch's size there. A later box replaces an earlier one of the same frame.
    on_progress: told the share done, 0 to 1; should_stop: asked with every frame.

    The path between two boxes comes from both: forwards from the one up to the last frame in
    which both ways meet, backwards from the other to there. Where they never meet but stay near
    (a box put a little beside the first's middle) it passes over from one to the other; where
    they are further apart nothing is claimed. A place that one way alone would not claim, because
    it has turned and changed too much since its box, is claimed where the other way leads there,
    too. Same frames and boxes give the same path.

    Raises ValueError for no box or one outside of the frames, BlankPatch, Stopped, and what
    reading the frames raises.
    """
    count = len(frames.times_us)
    if not boxes:
        raise ValueError("there is no box to follow")
    by_frame = {box.frame: box for box in boxes}
    if not all(0 <= frame < count for frame in by_frame):
        raise ValueError("a box lies outside of the frames")
    size = boxes[0].width_px, boxes[0].height_px
    order = sorted(by_frame)
    total = max(1, count - 1 + order[-1] - order[0])  # between boxes it goes both ways
    done = 0

    def way(box: Box, last: int) -> list[Step]:
        """Steps from the frame after the box's to `last`, in the order walked."""
        nonlocal done
        seen = frames.walk(box.frame, last)
        walker = Walker(next(seen), box, size)
        steps = []
        for frame in seen:
            if should_stop():
                raise Stopped("Following was stopped.")
            steps.append(walker.step(frame))
            done += 1
            on_progress(done / total)
        return steps

    steps = [NOWHERE] * count
    first, final = by_frame[order[0]], by_frame[order[-1]]
    steps[: first.frame] = reversed(way(first, 0))
    for before, after in pairwise(order):
        forwards = way(by_frame[before], after - 1)
        backwards = way(by_frame[after], before + 1)
        steps[before + 1 : after] = joined(forwards, backwards[::-1], size)
    steps[final.frame + 1 :] = way(final, count - 1)
    for frame, box in by_frame.items():
        steps[frame] = Step(Pose(box.x_px, box.y_px, box.width_px / size[0]), 0.0)
    most_px = CLAIMED * max(size)
    return _path(frames, [_told(step, most_px) for step in steps], error_px(*size))


def joined(
    forwards: Sequence[Step], backwards: Sequence[Step], size: tuple[float, float]
) -> list[Step]:
    """One step a frame of two ways over the same frames, both in the frames' order.

    size: width and height of the first box in pixels.
    """
    most_px, near_px = CLAIMED * max(size), _NEAR * min(size)
    both = list(zip(forwards, backwards, strict=True))
    alone = [(_told(one, most_px), _told(other, most_px)) for one, other in both]
    meet = max((n for n, two in enumerate(alone) if _apart_px(*two) <= _SAME_PX), default=None)
    result = []
    for n, (one, other) in enumerate(alone):
        share = (n + 1) / (len(both) + 1)
        if one.pose and other.pose and meet is not None:
            result.append(one if n <= meet else other)
        elif one.pose and other.pose:
            is_near = _apart_px(one, other) <= near_px
            off_px = max(one.off_px, other.off_px)
            result.append(_between(one, other, share, off_px) if is_near else NOWHERE)
        elif one.pose or other.pose:
            result.append(one if one.pose else other)
        elif (apart_px := _apart_px(*both[n])) <= near_px:
            # What each may be off was told without the other: that they agree says more
            off_px = min(most_px, max(apart_px / 2, _AGREED * max(size)))
            result.append(_between(*both[n], share, off_px))
        else:
            result.append(NOWHERE)
    return result


def _told(step: Step, most_px: float) -> Step:
    """A step as far as its way alone would claim it."""
    return step if step.off_px <= most_px else NOWHERE


def _apart_px(one: Step, other: Step) -> float:
    if not one.pose or not other.pose:
        return math.inf
    return math.hypot(one.pose.x - other.pose.x, one.pose.y - other.pose.y)


def _between(one: Step, other: Step, share: float, off_px: float) -> Step:
    """From the one step (share 0) to the other (1)."""
    if not one.pose or not other.pose:
        return NOWHERE
    x = one.pose.x + share * (other.pose.x - one.pose.x)
    y = one.pose.y + share * (other.pose.y - one.pose.y)
    scale = one.pose.scale + share * (other.pose.scale - one.pose.scale)
    return Step(Pose(x, y, scale), off_px)


def _path(frames: Frames, steps: Sequence[Step], least_px: float) -> Path:
    nowhere = (math.nan, math.nan, math.nan)
    places = np.array([(s.pose.x, s.pose.y, s.pose.scale) if s.pose else nowhere for s in steps])
    return Path(
        times_us=frames.times_us,
        x_px=places[:, 0],
        y_px=places[:, 1],
        found=np.array([step.pose is not None for step in steps]),
        confidence=np.array([step.confidence for step in steps]),
        error_px=np.array(
            [max(least_px, _FURTHER * s.off_px) if s.pose else math.nan for s in steps]
        ),
        scale=places[:, 2],
    )
