"""The figure's bones and how one instant of a swing places them in the world.

World axes: x toward the target, y up, z the way a right-handed player faces; metres; the origin
lies on the ground between the ankles. Everything is worked out right-handed; a left-handed figure
is the same one mirrored in z. `Stance` is one instant's settings (turns, head, arms, club), `Pose`
the joints that follow from it.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from media_tools.mannequin.params import Club, Swinger
from media_tools.mannequin.vectors import (
    TARGET,
    UP,
    Vec,
    across,
    bend,
    cross,
    norm,
    turned,
    unit,
    vec,
)

# From the grip's middle to the middle of the club face. Whole clubs of common length (0.94, 0.89
# and 1.14 m; the Rules of Golf allow 0.457 to 1.219 m) less the 0.11 m of grip above the middle.
SHAFT_M: dict[Club, float] = {"iron": 0.81, "wedge": 0.76, "driver": 1.0}
BUTT_M = 0.11
HEAD_CENTRE_M: dict[Club, float] = {"iron": 0.028, "wedge": 0.028, "driver": 0.055}
BALL_RADIUS_M = 0.02134  # Rules of Golf: 42.67 mm across at least

HAND_M = 0.075  # wrist to the middle of the palm
LEAD_ABOVE_M, TRAIL_BELOW_M = 0.042, 0.043  # palms either side of the grip's middle


@dataclass(frozen=True, slots=True)
class Stance:
    """Settings of one instant. Turns are degrees away from the target, tilts degrees forward."""

    hips: float
    chest: float
    pelvis_x: float
    pelvis_z: float
    head_x: float  # the head's centre, from its place at address
    head_y: float
    head_z: float
    neck: float  # tilt of the neck
    gaze: float  # turn of the face toward the target
    heel: float  # 0 planted, 1 the trail foot on its toe
    reach: float  # lead shoulder to lead wrist, as a share of the arm
    arm_x: float  # direction of the lead arm (not of unit length)
    arm_y: float
    arm_z: float
    shaft: float  # angle of the shaft in its plane: 0 down to the ball, -90 going back
    tilt: float  # of that plane from the ground
    roll: float  # of the club about its shaft; 0 as at address

    def array(self) -> Vec:
        return np.array([getattr(self, name) for name in STANCE_NAMES])

    @classmethod
    def of(cls, values: Vec) -> Stance:
        return cls(*(float(v) for v in values))

    @property
    def arm(self) -> Vec:
        return unit(vec(self.arm_x, self.arm_y, self.arm_z))

    @property
    def shaft_way(self) -> Vec:
        return in_plane(self.shaft, self.tilt)


STANCE_NAMES = tuple(field.name for field in fields(Stance))
SMOOTH: NDArray[np.bool_] = np.array([n in ("arm_x", "arm_y", "arm_z") for n in STANCE_NAMES])


def in_plane(angle_deg: float, tilt_deg: float) -> Vec:
    """The direction at an angle from straight down the slope, in a plane tilted from the ground."""
    a, t = np.radians(angle_deg), np.radians(tilt_deg)
    return vec(float(np.sin(a)), float(-np.cos(a) * np.sin(t)), float(np.cos(a) * np.cos(t)))


@dataclass(frozen=True, slots=True)
class Body:
    """Lengths of one person's bones in metres.

    Shares of stature after Drillis and Contini's segment table (1966; from memory), the arm a
    little shorter since the joints' centres lie inside the shoulder.
    """

    scale: float
    pelvis_up: float
    spine: float
    neck: float
    head: float
    shoulder: float
    hip: float
    thigh: float
    shank: float
    ankle_up: float
    upper_arm: float
    forearm: float
    stance: float
    club: Club

    @property
    def arm(self) -> float:
        return self.upper_arm + self.forearm

    @property
    def shaft(self) -> float:
        return SHAFT_M[self.club] * min(1.0, 0.45 + 0.55 * self.scale)

    @classmethod
    def of(cls, person: Swinger, club: Club) -> Body:
        h = person.height_m
        return cls(
            scale=h / 1.78,
            pelvis_up=0.506 * h,
            spine=0.292 * h,
            neck=0.108 * h,
            head=0.0575 * h * person.head,
            shoulder=0.1 * h * person.breadth,
            hip=0.05 * h,
            thigh=0.245 * h,
            shank=0.246 * h,
            ankle_up=0.042 * h,
            upper_arm=0.172 * h,
            forearm=0.146 * h,
            stance=(0.125 if club != "driver" else 0.142) * h,
            club=club,
        )


@dataclass(frozen=True, slots=True)
class Pose:
    """Joints of one instant in the world, each an array of three metres."""

    head: Vec
    neck: Vec
    pelvis: Vec
    lead_shoulder: Vec
    trail_shoulder: Vec
    lead_elbow: Vec
    trail_elbow: Vec
    lead_wrist: Vec
    trail_wrist: Vec
    lead_palm: Vec
    trail_palm: Vec
    grip: Vec
    butt: Vec
    club_head: Vec
    toe_way: Vec  # along the club face, from heel to toe
    lead_hip: Vec
    trail_hip: Vec
    lead_knee: Vec
    trail_knee: Vec
    lead_ankle: Vec
    trail_ankle: Vec
    lead_toe: Vec  # the ball of the foot
    trail_toe: Vec
    lead_tip: Vec
    trail_tip: Vec
    face_way: Vec
    crown_way: Vec
    chest_way: Vec
    hips_way: Vec
    spine_way: Vec

    def mirrored(self) -> Pose:
        flip = vec(1, 1, -1)
        return Pose(**{field.name: getattr(self, field.name) * flip for field in fields(Pose)})


@dataclass(frozen=True, slots=True)
class Trunk:
    """The part of a pose that does not depend on the arms."""

    head: Vec
    neck: Vec
    pelvis: Vec
    spine_way: Vec
    across_chest: Vec  # toward the lead shoulder
    chest_way: Vec
    lead_shoulder: Vec
    trail_shoulder: Vec


ADDRESS_LEAN_DEG, ADDRESS_NECK_DEG, ADDRESS_PELVIS_Z = 35.0, 44.0, -0.155


def address_head(body: Body) -> Vec:
    """Where the head's centre is at address, right-handed."""
    lean = np.radians(ADDRESS_LEAN_DEG)
    neck = np.radians(ADDRESS_NECK_DEG)
    back = ADDRESS_PELVIS_Z * body.scale
    return vec(
        -0.05 * body.scale,
        body.pelvis_up + body.spine * float(np.cos(lean)) + body.neck * float(np.cos(neck)),
        back + body.spine * float(np.sin(lean)) + body.neck * float(np.sin(neck)),
    )


def trunk(body: Body, now: Stance) -> Trunk:
    """Head, spine and shoulders. The head is where it is asked to be; the pelvis follows."""
    head = address_head(body) + vec(now.head_x, now.head_y, now.head_z * body.scale)
    tilt = np.radians(now.neck)
    neck = head - body.neck * vec(0.0, float(np.cos(tilt)), float(np.sin(tilt)))
    x, z = now.pelvis_x * body.scale, now.pelvis_z * body.scale
    aside = (neck[0] - x) ** 2 + (neck[2] - z) ** 2
    pelvis = vec(x, neck[1] - float(np.sqrt(max(body.spine**2 - aside, 0.01))), z)
    spine = unit(neck - pelvis)
    level = across(TARGET, spine)
    side = turned(level, spine, -now.chest)
    front = cross(side, spine)
    middle = neck - spine * (0.022 * body.scale) + front * (0.012 * body.scale)
    return Trunk(
        head=head,
        neck=neck,
        pelvis=pelvis,
        spine_way=spine,
        across_chest=side,
        chest_way=front,
        lead_shoulder=middle + side * body.shoulder,
        trail_shoulder=middle - side * body.shoulder,
    )


def palm_way(arm: Vec, shaft: Vec) -> Vec:
    """The hand lies between the line of the forearm and that of the club."""
    return unit(arm * 0.8 + shaft * 0.6)


def grip_from_wrist(wrist: Vec, arm: Vec, shaft: Vec) -> Vec:
    return wrist + palm_way(arm, shaft) * HAND_M + shaft * LEAD_ABOVE_M


def wrist_from_grip(grip: Vec, shoulder: Vec, shaft: Vec) -> Vec:
    """The lead wrist that holds the grip there: the inverse of `grip_from_wrist`."""
    palm = grip - shaft * LEAD_ABOVE_M
    wrist = palm
    for _ in range(12):
        wrist = palm - palm_way(unit(wrist - shoulder), shaft) * HAND_M
    return wrist


def place(body: Body, now: Stance) -> Pose:
    """All joints of one instant, right-handed."""
    core = trunk(body, now)
    shaft = now.shaft_way
    lead_wrist = core.lead_shoulder + now.arm * (now.reach * body.arm)
    arm_way = now.arm
    grip = grip_from_wrist(lead_wrist, arm_way, shaft)
    lead_palm = grip - shaft * LEAD_ABOVE_M
    trail_palm = grip + shaft * TRAIL_BELOW_M
    trail_shoulder = core.trail_shoulder
    back = unit(unit(trail_shoulder - trail_palm) - shaft * 0.35)
    trail_wrist = trail_palm + back * HAND_M
    # a shoulder blade gives a little before the arm runs out
    lead_shoulder = core.lead_shoulder
    over = (now.reach - 1.0) * body.arm
    if over > 0:
        lead_shoulder = lead_shoulder + now.arm * min(over, 0.08)
    over = norm(trail_wrist - trail_shoulder) - 0.99 * body.arm
    if over > 0:
        trail_shoulder = trail_shoulder + unit(trail_wrist - trail_shoulder) * min(over, 0.08)
    down = -UP
    lead_elbow = bend(
        lead_shoulder,
        lead_wrist,
        body.upper_arm,
        body.forearm,
        unit(down * 0.8 + core.across_chest * 0.5 + core.chest_way * 0.25),
    )
    trail_elbow = bend(
        trail_shoulder,
        trail_wrist,
        body.upper_arm,
        body.forearm,
        unit(down * 1.0 - core.chest_way * 0.25 - core.across_chest * 0.35),
    )
    legs = _legs(body, now, core)
    slope = np.radians(now.tilt)
    plane_normal = vec(0.0, float(np.cos(slope)), float(np.sin(slope)))
    onward = in_plane(now.shaft + 90.0, now.tilt)
    roll = np.radians(now.roll)
    gaze = turned(vec(0, 0, 1), UP, now.gaze)
    nod = np.radians(max(now.neck - 22.0, 0.0))
    crown = unit(UP * float(np.cos(nod)) + gaze * float(np.sin(nod)) * 0.95)
    return Pose(
        head=core.head,
        neck=core.neck,
        pelvis=core.pelvis,
        lead_shoulder=lead_shoulder,
        trail_shoulder=trail_shoulder,
        lead_elbow=lead_elbow,
        trail_elbow=trail_elbow,
        lead_wrist=lead_wrist,
        trail_wrist=trail_wrist,
        lead_palm=lead_palm,
        trail_palm=trail_palm,
        grip=grip,
        butt=grip - shaft * BUTT_M,
        club_head=grip + shaft * body.shaft,
        toe_way=plane_normal * float(np.cos(roll)) - onward * float(np.sin(roll)),
        face_way=across(gaze, crown),
        crown_way=crown,
        chest_way=core.chest_way,
        spine_way=core.spine_way,
        **legs,
    )


def _legs(body: Body, now: Stance, core: Trunk) -> dict[str, Vec]:
    k = body.scale
    axis = unit(UP * 0.85 + core.spine_way * 0.15)
    side = turned(across(TARGET, axis), axis, -now.hips)
    front = cross(side, axis)
    lead_hip, trail_hip = core.pelvis + side * body.hip, core.pelvis - side * body.hip
    lead_ankle = vec(body.stance, body.ankle_up, 0.0)
    planted = vec(-body.stance, body.ankle_up, 0.0)
    lead_foot, trail_foot = unit(vec(0.42, 0, 1.0)), unit(vec(-0.16, 0, 1.0))
    toe = planted * vec(1, 0, 1) + trail_foot * (0.155 * k) + vec(0, 0.022 * k, 0)
    raised = toe + vec(0.012 * k, 0.168 * k, -0.02 * k)
    pivot = turned(trail_foot, UP, 50.0 * now.heel)
    lead_toe = lead_ankle * vec(1, 0, 1) + lead_foot * (0.155 * k) + vec(0, 0.022 * k, 0)
    trail_ankle = planted + (raised - planted) * now.heel
    trail_ankle = toe + unit(trail_ankle - toe) * norm(planted - toe)
    return {
        "hips_way": front,
        "lead_hip": lead_hip,
        "trail_hip": trail_hip,
        "lead_ankle": lead_ankle,
        "trail_ankle": trail_ankle,
        "lead_toe": lead_toe,
        "lead_tip": lead_toe + lead_foot * (0.055 * k),
        "trail_tip": toe + pivot * (0.055 * k),
        "trail_toe": toe,
        "lead_knee": bend(
            lead_hip, lead_ankle, body.thigh, body.shank, unit(front * 0.5 + lead_foot * 0.6)
        ),
        "trail_knee": bend(
            trail_hip, trail_ankle, body.thigh, body.shank, unit(front * 0.6 + trail_foot * 0.5)
        ),
    }
