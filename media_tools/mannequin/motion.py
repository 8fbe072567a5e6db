"""How a swing runs through its positions: keys at P1..P10 and the curve between them.

The shapes at the keys are common practice (no source); when the keys come follows the medians of
the event labels of GolfDB (McNally et al., CVPR Workshops 2019, arXiv 1903.06528) for P2, P3, P5,
P8 and P10. P6 and P9 are not labelled there and are set between their neighbours.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from media_tools.mannequin.params import POSITIONS, Swinger, SwingSpec, TimedSwing
from media_tools.mannequin.skeleton import (
    BALL_RADIUS_M,
    HEAD_CENTRE_M,
    LEAD_ABOVE_M,
    SMOOTH,
    Body,
    Pose,
    Stance,
    grip_from_wrist,
    in_plane,
    place,
    trunk,
    wrist_from_grip,
)
from media_tools.mannequin.vectors import Vec, hermite, norm, slopes, unit, vec

P2_SHARE, P3_SHARE = 0.495, 0.683  # of P1..P4
P5_SHARE, P6_SHARE = 0.562, 0.80  # of P4..P7
P10_DOWNSWINGS = 2.48  # after P7
P8_SHARE, P9_SHARE = 0.119, 0.27  # of P7..P10

HOLD_S, SETTLED_S = 0.7, 0.5  # the finish is held; address is taken this long before P1
SHORTEST_GAP_S = 0.6  # from a finish to the next P1

#        hips chest pel_x  pel_z  head_z neck gaze heel reach  arm (x, y, z)        shaft tilt roll
_KEYS = {
    "P1": (0, 0, 0.0, -0.155, 0.0, 44, 0, 0.0, 0.955, (-0.2, -0.95, 0.25), -2, 58, 0),
    "P2": (14, 30, -0.02, -0.155, 0.0, 44, -4, 0.0, 0.99, (-0.66, -0.72, 0.22), -90, 52, 75),
    "P3": (29, 62, -0.035, -0.155, 0.0, 44, -10, 0.0, 0.985, (-0.99, 0.0, 0.1), -176, 60, 92),
    "P4": (41, 92, -0.025, -0.15, 0.0, 44, -16, 0.0, 0.975, (-0.47, 0.71, -0.52), -252, 52, 95),
    "P5": (8, 50, 0.04, -0.15, 0.0, 45, -8, 0.0, 0.985, (-0.97, 0.0, -0.14), -198, 53, 95),
    "P6": (-18, 20, 0.075, -0.145, 0.0, 45, -4, 0.1, 0.99, (-0.6, -0.78, 0.12), -90, 52, 78),
    "P7": (-38, -12, 0.1, -0.135, 0.01, 46, 0, 0.25, 1.0, (0, 0, 0), -7, 60, 0),
    "P8": (-52, -42, 0.125, -0.12, -0.01, 42, 4, 0.45, 0.99, (0, 0, 0), 90, 54, -78),
    "P9": (-72, -74, 0.16, -0.08, -0.06, 32, 38, 0.7, 0.9, (0, 0, 0), 172, 56, -92),
    "P10": (-94, -118, 0.19, -0.01, -0.235, 8, 84, 1.0, 0.6, (0, 0, 0), 305, 40, -95),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Setup:
    """Where the ball lies for one person and club, right-handed."""

    ball: Vec


def key_times_s(swing: SwingSpec) -> dict[str, float]:
    """When the keys come, in seconds after P1."""
    back, down = swing.backswing_s, swing.downswing_s
    strike = back + down
    after = P10_DOWNSWINGS * down
    return {
        "P1": 0.0,
        "P2": back * P2_SHARE,
        "P3": back * P3_SHARE,
        "P4": back,
        "P5": back + down * P5_SHARE,
        "P6": back + down * P6_SHARE,
        "P7": strike,
        "P8": strike + after * P8_SHARE,
        "P9": strike + after * P9_SHARE,
        "P10": strike + after,
    }


def _stance(name: str, swing: SwingSpec) -> Stance:
    hips, chest, px, pz, hz, neck, gaze, heel, reach, arm, shaft, tilt, roll = _KEYS[name]
    k = POSITIONS.index(name)
    sway, lift = swing.sway_m[k], swing.lift_m[k]
    return Stance(
        hips=hips, chest=chest, pelvis_x=px, pelvis_z=pz, head_x=sway, head_y=lift, head_z=hz,
        neck=neck, gaze=gaze, heel=heel, reach=reach, arm_x=arm[0], arm_y=arm[1], arm_z=arm[2],
        shaft=shaft, tilt=tilt, roll=roll,
    )  # fmt: skip


def _with_arm(body: Body, stance: Stance, wrist: Vec) -> Stance:
    """The stance whose lead wrist is there, as far as the arm reaches."""
    line = wrist - trunk(body, stance).lead_shoulder
    way, reach = unit(line), norm(line) / body.arm
    return replace(
        stance, arm_x=float(way[0]), arm_y=float(way[1]), arm_z=float(way[2]), reach=reach
    )


def _address(body: Body, swing: SwingSpec) -> tuple[Stance, Vec]:
    """The address and the middle of the club head there, its sole just on the ground."""
    start = _stance("P1", swing)
    shoulder = trunk(body, replace(start, head_x=0.0, head_y=0.0)).lead_shoulder
    start = replace(start, head_x=0.0, head_y=0.0)
    wrist = shoulder + start.arm * (start.reach * body.arm)
    low, high = 30.0, 85.0
    for _ in range(40):
        tilt = (low + high) / 2
        shaft = in_plane(start.shaft, tilt)
        head = grip_from_wrist(wrist, start.arm, shaft) + shaft * body.shaft
        low, high = (tilt, high) if head[1] > HEAD_CENTRE_M[body.club] else (low, tilt)
    return replace(start, tilt=tilt), head


def _impact(body: Body, swing: SwingSpec, club_head: Vec) -> Stance:
    """The stance that brings the club head to the ball with the lead arm straight."""
    stance = _stance("P7", swing)
    stance = replace(stance, shaft=stance.shaft + 17.0 * swing.release)
    shoulder = trunk(body, stance).lead_shoulder
    best = (float("inf"), 60.0, club_head)
    for tilt in np.linspace(50.0, 74.0, 97):
        shaft = in_plane(stance.shaft, float(tilt))
        wrist = wrist_from_grip(club_head - shaft * body.shaft, shoulder, shaft)
        miss = abs(norm(wrist - shoulder) - stance.reach * body.arm)
        if miss < best[0]:
            best = (miss, float(tilt), wrist)
    return _with_arm(body, replace(stance, tilt=best[1]), best[2])


def _through(body: Body, stance: Stance, trail_way: Vec, share: float) -> Stance:
    """A stance after impact whose hands are where the trail arm puts them."""
    core = trunk(body, stance)
    shaft = stance.shaft_way
    palm = core.trail_shoulder + unit(trail_way) * (share * body.arm + 0.07)
    grip = palm - shaft * 0.043
    return _with_arm(body, stance, wrist_from_grip(grip, core.lead_shoulder, shaft))


def _finish(body: Body, stance: Stance) -> Stance:
    core = trunk(body, stance)
    k = body.scale
    palm = core.lead_shoulder + vec(0.06, 0.3, -0.02) * k
    grip = palm + stance.shaft_way * LEAD_ABOVE_M
    return _with_arm(body, stance, wrist_from_grip(grip, core.lead_shoulder, stance.shaft_way))


@lru_cache(maxsize=256)
def keys(person: Swinger, swing: SwingSpec) -> tuple[dict[str, Stance], Setup]:
    """The stances at the ten keys, right-handed, and where the ball lies."""
    body = Body.of(person, swing.club)
    address, head_at_ball = _address(body, swing)
    found = {name: _stance(name, swing) for name in POSITIONS}
    found["P1"] = replace(address, head_x=swing.sway_m[0], head_y=swing.lift_m[0])
    for name, share in (("P2", 0.5), ("P3", 0.8), ("P4", 1.0), ("P5", 1.0), ("P6", 0.8)):
        old = found[name]
        found[name] = replace(
            old, tilt=old.tilt + swing.plane_deg * share,
            arm_z=old.arm_z + 0.012 * swing.plane_deg * share if name != "P4" else old.arm_z,
        )  # fmt: skip
    for name, give in (("P5", 52.0), ("P6", 46.0)):
        old = found[name]
        found[name] = replace(old, shaft=old.shaft + give * swing.release)
    for name, follow in (("P2", 0.5), ("P3", 0.55), ("P4", 0.6), ("P5", 0.6), ("P6", 0.6),
                         ("P7", 0.5)):  # fmt: skip
        # a head off its usual path takes part of the hips along
        k = POSITIONS.index(name)
        steady = SwingSpec().sway_m[k]
        old = found[name]
        found[name] = replace(
            old, pelvis_x=old.pelvis_x + (swing.sway_m[k] - steady) * follow / body.scale
        )
    found["P7"] = _impact(body, swing, head_at_ball)
    found["P8"] = _through(body, found["P8"], vec(0.88, -0.45, 0.1), 1.08)
    found["P9"] = _through(body, found["P9"], vec(0.9, 0.0, -0.36), 0.97)
    found["P10"] = _finish(body, found["P10"])
    ball = vec(
        float(head_at_ball[0]) + BALL_RADIUS_M + (0.045 if swing.club == "driver" else 0.012),
        BALL_RADIUS_M + (0.03 if swing.club == "driver" else 0.0),
        float(head_at_ball[2]),
    )
    return found, Setup(ball)


class Motion:
    """A person's whole movement over the swings of one recording.

    Before the first swing they stand at address; after each they hold the finish and come back to
    address in time for the next.
    """

    def __init__(self, person: Swinger, swings: tuple[TimedSwing, ...]) -> None:
        self.person = person
        self.swings = swings
        self.settled_s: list[float] = []  # from when on the player stands at address, per swing
        times: list[float] = []
        stances: list[Vec] = []
        resting: list[int] = []
        for index, timed in enumerate(swings):
            found, _ = keys(person, timed.swing)
            when = key_times_s(timed.swing)
            if index:
                self._walk_back(times, stances, timed.start_s)
            self.settled_s.append(times[-1] if times else float("-inf"))
            for name in POSITIONS:
                if name in ("P1", "P10"):
                    resting.append(len(times))
                times.append(timed.start_s + when[name])
                stances.append(found[name].array())
        self._times = np.array(times)
        self._values = np.array(stances)
        self._slopes = slopes(self._times, self._values, SMOOTH)
        self._slopes[resting] = 0.0

    @staticmethod
    def _walk_back(times: list[float], stances: list[Vec], start_s: float) -> None:
        found_last = stances[-10:]
        end = times[-1]
        free = start_s - end
        if free < SHORTEST_GAP_S:
            raise ValueError(
                f"a swing at {start_s} s begins {free:.2f} s after the finish of the one before; "
                f"{SHORTEST_GAP_S} s are needed to come back to address"
            )
        hold, settle = min(HOLD_S, free * 0.25), min(SETTLED_S, free * 0.2)
        moving = min(free - hold - settle, 1.6)
        begin = end + hold
        rows = ((0.0, 9), (0.34, 8), (0.62, 7), (1.0, 0))  # back the way the club came, slowly
        for share, key in rows:
            times.append(begin + moving * share)
            stances.append(found_last[key])

    def stance(self, when_s: float) -> Stance:
        return Stance.of(hermite(self._times, self._values, self._slopes, when_s))

    def body(self, when_s: float) -> Body:
        current = self.swings[0]
        for timed in self.swings:
            if timed.start_s <= when_s:
                current = timed
        return Body.of(self.person, current.swing.club)

    def pose(self, when_s: float) -> Pose:
        """The joints at a time from the film's start, left- or right-handed as the person is."""
        pose = place(self.body(when_s), self.stance(when_s))
        return pose if self.person.handed == "right" else pose.mirrored()


@lru_cache(maxsize=64)
def single(person: Swinger, swing: SwingSpec) -> Motion:
    return Motion(person, (TimedSwing(0.0, swing),))


def pose_at(person: Swinger, swing: SwingSpec, time_s: float) -> Pose:
    """The joints `time_s` seconds after P1 (address before it, the finish after P10)."""
    return single(person, swing).pose(time_s)
