"""What is true of a film: when each position is, where each joint is in each frame."""

from __future__ import annotations

import json
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

from media_tools.mannequin.motion import key_times_s, pose_at
from media_tools.mannequin.params import Swinger, SwingSpec
from media_tools.mannequin.skeleton import Pose

Pixel = tuple[float, float]

JOINTS = (
    "head",
    "neck",
    *(f"{side}_{joint}" for joint in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")
      for side in ("lead", "trail")),
    "grip",
    "club_head",
)  # fmt: skip


def shaft_rise(pose: Pose) -> float:
    """How far the club head stands above the grip; 0 where the shaft is parallel to the ground."""
    return float(pose.club_head[1] - pose.grip[1])


def lead_arm_rise(pose: Pose) -> float:
    """How far the lead wrist stands above the lead shoulder."""
    return float(pose.lead_wrist[1] - pose.lead_shoulder[1])


def trail_arm_rise(pose: Pose) -> float:
    """How far the trail wrist stands above the trail shoulder."""
    return float(pose.trail_wrist[1] - pose.trail_shoulder[1])


@lru_cache(maxsize=256)
def position_times_s(person: Swinger, swing: SwingSpec) -> dict[str, float]:
    """When P1..P10 are, in seconds after P1, each by its definition.

    P1, P4, P7 and P10 are where the movement starts, turns, meets the ball and ends. The others
    are the moments at which the shaft, the lead arm or the trail arm is level, found by halving.
    """
    keys = key_times_s(swing)
    found = {name: keys[name] for name in ("P1", "P4", "P7", "P10")}
    p3 = _level(person, swing, "lead", keys["P2"], keys["P4"])
    found["P2"] = _level(person, swing, "shaft", 0.0, p3)
    found["P3"] = p3
    found["P5"] = _level(person, swing, "lead", keys["P4"], keys["P6"])
    found["P6"] = _level(person, swing, "shaft", keys["P4"], keys["P7"])
    found["P8"] = _level(person, swing, "shaft", keys["P7"], keys["P9"])
    found["P9"] = _level(person, swing, "trail", keys["P8"], keys["P10"])
    return {name: found[name] for name in keys}


_RISE = {"shaft": shaft_rise, "lead": lead_arm_rise, "trail": trail_arm_rise}


def _level(person: Swinger, swing: SwingSpec, what: str, start: float, end: float) -> float:
    """The first time between start and end at which something passes level."""
    rise = _RISE[what]
    steps = 24
    low, before = start, rise(pose_at(person, swing, start))
    for k in range(1, steps + 1):
        high = start + (end - start) * k / steps
        after = rise(pose_at(person, swing, high))
        if (before > 0) != (after > 0):
            break
        low, before = high, after
    else:
        raise ValueError(f"the {what} is never level between {start:.3f} and {end:.3f} s")
    for _ in range(30):
        middle = (low + high) / 2
        if (rise(pose_at(person, swing, middle)) > 0) == (before > 0):
            low = middle
        else:
            high = middle
    return (low + high) / 2


@dataclass(frozen=True, slots=True)
class SwingTruth:
    """One swing of a film; times in microseconds from the film's first frame.

    strike_us and heard_us are None for a practice swing, which has no ball and no sound.
    """

    positions_us: dict[str, int]
    strike_us: int | None
    heard_us: int | None

    @property
    def begin_us(self) -> int:
        return self.positions_us["P1"]

    @property
    def end_us(self) -> int:
        return self.positions_us["P10"]

    @property
    def tempo(self) -> float:
        """Backswing over downswing."""
        p = self.positions_us
        return (p["P4"] - p["P1"]) / (p["P7"] - p["P4"])


@dataclass(frozen=True, slots=True)
class Truth:
    """All that is known of a film.

    frame_times_us: each frame's presentation time.
    joints: for each name of JOINTS its (column, row) in each frame; a whole number is a pixel's
        centre, and a place may lie outside the picture. 'ball' is None where no ball is seen.
    px_per_m: pixels a metre takes at the head's distance in the first frame.
    """

    size_px: tuple[int, int]
    fps: Fraction
    frame_times_us: tuple[int, ...]
    swings: tuple[SwingTruth, ...]
    joints: dict[str, tuple[Pixel | None, ...]]
    neighbours_us: tuple[int, ...]
    px_per_m: float
    handed: str
    view: str

    def joint(self, name: str, frame: int) -> Pixel:
        """Where a joint is in a frame; ValueError where it is not seen."""
        place = self.joints[name][frame]
        if place is None:
            raise ValueError(f"{name} is not seen in frame {frame}")
        return place

    def frame_at(self, time_us: int) -> int:
        """The frame shown at a time: the last one that begins at or before it."""
        times = self.frame_times_us
        number = int(time_us * self.fps / 1_000_000)
        number = min(max(number, 0), len(times) - 1)
        while number + 1 < len(times) and times[number + 1] <= time_us:
            number += 1
        while number > 0 and times[number] > time_us:
            number -= 1
        return number

    def to_json(self) -> str:
        return json.dumps(
            {
                "size_px": self.size_px,
                "fps": [self.fps.numerator, self.fps.denominator],
                "frame_times_us": self.frame_times_us,
                "swings": [
                    {
                        "positions_us": s.positions_us,
                        "strike_us": s.strike_us,
                        "heard_us": s.heard_us,
                    }
                    for s in self.swings
                ],
                "joints": self.joints,
                "neighbours_us": self.neighbours_us,
                "px_per_m": self.px_per_m,
                "handed": self.handed,
                "view": self.view,
            }
        )

    @classmethod
    def from_json(cls, text: str) -> Truth:
        """The truth that `to_json` wrote; KeyError or ValueError for anything else."""
        raw: dict[str, Any] = json.loads(text)
        width, height = raw["size_px"]
        return cls(
            size_px=(width, height),
            fps=Fraction(*raw["fps"]),
            frame_times_us=tuple(raw["frame_times_us"]),
            swings=tuple(SwingTruth(**s) for s in raw["swings"]),
            joints={
                name: tuple(None if p is None else (p[0], p[1]) for p in places)
                for name, places in raw["joints"].items()
            },
            neighbours_us=tuple(raw["neighbours_us"]),
            px_per_m=raw["px_per_m"],
            handed=raw["handed"],
            view=raw["view"],
        )
