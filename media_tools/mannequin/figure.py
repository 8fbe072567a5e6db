"""The dressed figure: skin, cloth, shoes, cap and club put round the bones of a pose."""

from __future__ import annotations

from enum import IntEnum
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from media_tools.mannequin.canvas import F32, Canvas, ink, ramp
from media_tools.mannequin.params import Swinger
from media_tools.mannequin.skeleton import BALL_RADIUS_M, Body, Pose
from media_tools.mannequin.vectors import UP, Vec, across, cross, norm, unit


class M(IntEnum):
    """Materials; the number is the row in the table of tones."""

    NOTHING = 0
    SKIN = 1
    HAIR = 2
    CAP = 3
    SHIRT = 4
    TROUSERS = 5
    BELT = 6
    SHOES = 7
    SOLE = 8
    GLOVE = 9
    GRIP = 10
    STEEL = 11
    HEAD = 12
    BALL = 13
    EYE = 14
    LIP = 15
    COLLAR = 16
    BRIM = 17
    SOCK = 18


class Part(IntEnum):
    """Parts told apart by a line where one stands before another."""

    NOTHING = 0
    TRUNK = 1
    LEAD_ARM = 2
    TRAIL_ARM = 3
    LEAD_LEG = 4
    TRAIL_LEG = 5
    LEAD_SHOE = 6
    TRAIL_SHOE = 7
    HEAD = 8
    NECK = 9
    BRIM = 10
    CLUB = 11
    BALL = 12
    TAIL = 13
    EAR = 14


def tones(person: Swinger) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """The tables of tones and of line colours, one row a material."""
    c = person.colours
    skin = np.array(c.skin)
    shirt = np.array(c.shirt)

    def mixed(a: NDArray[np.int_], b: tuple[int, int, int], share: float) -> tuple[int, int, int]:
        r, g, bl = (a * (1 - share) + np.array(b) * share).astype(int).tolist()
        return (r, g, bl)

    colours = {
        M.NOTHING: (0, 0, 0),
        M.SKIN: c.skin,
        M.HAIR: c.hair,
        M.CAP: c.cap,
        M.SHIRT: c.shirt,
        M.TROUSERS: c.trousers,
        M.BELT: c.belt,
        M.SHOES: c.shoes,
        M.SOLE: (70, 68, 70),
        M.GLOVE: c.glove,
        M.GRIP: (44, 44, 48),
        M.STEEL: (176, 182, 188),
        M.HEAD: CLUB_HEAD_COLOUR,
        M.BALL: BALL_COLOUR,
        M.EYE: (52, 40, 38),
        M.LIP: mixed(skin, (150, 62, 58), 0.45),
        M.COLLAR: mixed(shirt, (255, 255, 255), 0.18),
        M.BRIM: mixed(np.array(c.cap), (40, 40, 52), 0.12),
        M.SOCK: (240, 238, 232),
    }
    ramps = np.stack([ramp(colours[m], 0.25 if m in (M.STEEL, M.HEAD) else 0.0) for m in M])
    lines = np.stack([ink(colours[m]) for m in M])
    return ramps, lines


CLUB_HEAD_COLOUR = (150, 158, 168)
BALL_COLOUR = (252, 252, 248)


def dress(canvas: Canvas, person: Swinger, body: Body, pose: Pose) -> None:
    """Draws the figure without its club."""
    _legs(canvas, person, body, pose)
    _trunk(canvas, person, body, pose)
    _arms(canvas, person, body, pose)
    _head(canvas, person, body, pose)


def _lerp(a: Vec, b: Vec, t: float) -> Vec:
    return a + (b - a) * t


def _legs(canvas: Canvas, person: Swinger, body: Body, pose: Pose) -> None:
    g = body.scale * person.girth
    k = body.scale
    for hip, knee, ankle, toe, tip, leg, shoe in (
        (pose.lead_hip, pose.lead_knee, pose.lead_ankle, pose.lead_toe, pose.lead_tip,
         Part.LEAD_LEG, Part.LEAD_SHOE),
        (pose.trail_hip, pose.trail_knee, pose.trail_ankle, pose.trail_toe, pose.trail_tip,
         Part.TRAIL_LEG, Part.TRAIL_SHOE),
    ):  # fmt: skip
        top = _lerp(hip, knee, 0.06)
        mid = _lerp(hip, knee, 0.55)
        canvas.limb(top, mid, 0.094 * g, 0.079 * g, M.TROUSERS, leg)
        if person.shorts:
            canvas.limb(mid, _lerp(hip, knee, 0.86), 0.079 * g, 0.076 * g, M.TROUSERS, leg)
            canvas.limb(mid, knee, 0.066 * g, 0.054 * g, M.SKIN, leg)
            calf = _lerp(knee, ankle, 0.35)
            canvas.limb(knee, calf, 0.054 * g, 0.056 * g, M.SKIN, leg)
            canvas.limb(calf, ankle, 0.056 * g, 0.036 * g, M.SKIN, leg)
            canvas.limb(_lerp(knee, ankle, 0.86), ankle, 0.042 * g, 0.041 * g, M.SOCK, leg)
        else:
            calf = _lerp(knee, ankle, 0.42)
            canvas.limb(mid, knee, 0.079 * g, 0.063 * g, M.TROUSERS, leg)
            canvas.limb(knee, calf, 0.063 * g, 0.062 * g, M.TROUSERS, leg)
            canvas.limb(calf, _lerp(knee, ankle, 0.93), 0.062 * g, 0.056 * g, M.TROUSERS, leg)
        _shoe(canvas, k * (0.6 + 0.4 * person.girth), ankle, toe, tip, shoe)


def _shoe(canvas: Canvas, k: float, ankle: Vec, toe: Vec, tip: Vec, part: int) -> None:
    forward = unit(toe - ankle)
    sole_way = across(UP, unit(tip - toe))
    foot_up = across(unit(tip - toe) * -0.6 + UP, forward)
    if float(foot_up @ UP) < 0.0:
        foot_up = -foot_up
    heel = ankle - foot_up * (0.028 * k) - forward * (0.05 * k)
    ball = toe + foot_up * (0.022 * k)
    front = tip + sole_way * (0.014 * k)
    canvas.limb(ankle, _lerp(ankle, toe, 0.35), 0.046 * k, 0.043 * k, M.SHOES, part)
    canvas.limb(heel, ball, 0.040 * k, 0.043 * k, M.SHOES, part)
    canvas.limb(ball, front, 0.043 * k, 0.032 * k, M.SHOES, part)
    down = foot_up * (0.024 * k)
    canvas.limb(heel - down, toe, 0.027 * k, 0.032 * k, M.SOLE, part)
    canvas.limb(toe, tip - sole_way * (0.006 * k), 0.032 * k, 0.022 * k, M.SOLE, part)


# Rings of the trunk from the crotch up: share of pelvis to neck, half width, half depth, set
# forward, in metres for an adult.
_TRUNK = (
    (-0.20, 0.085, 0.075, -0.008),
    (-0.16, 0.130, 0.108, -0.010),
    (-0.08, 0.163, 0.126, -0.014),
    (0.02, 0.168, 0.128, -0.012),
    (0.10, 0.160, 0.120, -0.004),
    (0.17, 0.153, 0.114, 0.002),
    (0.20, 0.156, 0.117, 0.002),
    (0.26, 0.155, 0.115, 0.006),
    (0.38, 0.153, 0.112, 0.012),
    (0.50, 0.160, 0.116, 0.016),
    (0.62, 0.170, 0.120, 0.018),
    (0.74, 0.178, 0.120, 0.014),
    (0.84, 0.178, 0.110, 0.006),
    (0.91, 0.165, 0.094, 0.000),
    (0.96, 0.135, 0.078, -0.002),
    (1.00, 0.092, 0.064, -0.002),
    (1.03, 0.062, 0.056, 0.000),
)
_AROUND = 44
_TABLE = np.array(_TRUNK)
_SHARES = np.unique(
    np.concatenate([_TABLE[:, 0], (_TABLE[:-1, 0] + _TABLE[1:, 0]) / 2])  # twice as many rings
)
_BANDS = tuple(
    M.TROUSERS if high <= 0.175 else M.BELT if high <= 0.205 else M.SHIRT for high in _SHARES[1:]
)


def _trunk(canvas: Canvas, person: Swinger, body: Body, pose: Pose) -> None:
    k, g = body.scale, person.girth
    angle = np.linspace(0, 2 * np.pi, _AROUND, endpoint=False)
    # a little squarer than an ellipse
    c, s = np.cos(angle), np.sin(angle)
    wide = np.sign(c) * np.abs(c) ** 0.9
    deep = np.sign(s) * np.abs(s) ** 0.9
    rings = []
    line = pose.neck - pose.pelvis
    for share in _SHARES.tolist():
        half_width, half_depth, set_forward = (
            float(np.interp(share, _TABLE[:, 0], _TABLE[:, column])) for column in (1, 2, 3)
        )
        turn = float(np.clip((share - 0.05) / 0.8, 0, 1))
        turn = turn * turn * (3 - 2 * turn)
        lean = float(np.clip((share + 0.2) / 0.5, 0, 1))
        axis = unit(UP * (1 - lean) * 0.6 + pose.spine_way * (0.4 + lean))
        front = across(pose.hips_way * (1 - turn) + pose.chest_way * turn, axis)
        side = cross(axis, front)
        centre = pose.pelvis + line * share + front * (set_forward * k)
        breadth = 1 + (person.breadth - 1) * turn
        w = half_width * k * breadth * (g if share < 0.7 else 0.5 + 0.5 * g)
        d = half_depth * k * (g if share < 0.9 else 0.6 + 0.4 * g)
        rings.append(centre + np.outer(wide * w, side) + np.outer(deep * d, front))
    canvas.rings(np.stack(rings), _BANDS, Part.TRUNK)


def _arms(canvas: Canvas, person: Swinger, body: Body, pose: Pose) -> None:
    k = body.scale
    g = body.scale * (0.35 + 0.65 * person.girth)
    for shoulder, elbow, wrist, palm, hand, part in (
        (pose.lead_shoulder, pose.lead_elbow, pose.lead_wrist, pose.lead_palm,
         M.GLOVE, Part.LEAD_ARM),
        (pose.trail_shoulder, pose.trail_elbow, pose.trail_wrist, pose.trail_palm,
         M.SKIN, Part.TRAIL_ARM),
    ):  # fmt: skip
        hem = _lerp(shoulder, elbow, 0.66)
        canvas.limb(shoulder, hem, 0.064 * g, 0.059 * g, M.SHIRT, part)
        canvas.limb(_lerp(shoulder, elbow, 0.62), elbow, 0.046 * g, 0.041 * g, M.SKIN, part)
        belly = _lerp(elbow, wrist, 0.3)
        canvas.limb(elbow, belly, 0.041 * g, 0.043 * g, M.SKIN, part)
        canvas.limb(belly, wrist, 0.043 * g, 0.028 * g, M.SKIN, part)
        if hand == M.GLOVE:
            canvas.limb(_lerp(elbow, wrist, 0.93), wrist, 0.033 * g, 0.033 * g, M.GLOVE, part)
        canvas.limb(wrist, _lerp(wrist, palm, 0.8), 0.030 * k, 0.039 * k, hand, part)
        shaft = unit(pose.club_head - pose.butt)
        canvas.limb(palm - shaft * 0.028 * k, palm + shaft * 0.03 * k,
                    0.037 * k, 0.034 * k, hand, part)  # fmt: skip
        # the slope from the neck to the shoulder
        root = pose.neck - pose.spine_way * (0.012 * k) - pose.chest_way * (0.012 * k)
        canvas.limb(
            _lerp(root, shoulder, 0.15), shoulder, 0.046 * k, 0.060 * g, M.SHIRT, Part.TRUNK
        )


def _head(canvas: Canvas, person: Swinger, body: Body, pose: Pose) -> None:
    r = body.head
    face, crown = pose.face_way, pose.crown_way
    side = cross(crown, face)
    k = body.scale
    canvas.limb(pose.neck, pose.head - crown * (0.4 * r) - face * (0.1 * r),
                0.056 * k, 0.053 * k, M.SKIN, Part.NECK)  # fmt: skip
    canvas.limb(pose.neck - pose.spine_way * 0.012 * k, pose.neck + (pose.head - pose.neck) * 0.16,
                0.068 * k, 0.062 * k, M.COLLAR, Part.TRUNK)  # fmt: skip
    axes = np.stack([side * (0.76 * r), crown * (1.08 * r), face * (0.93 * r)])
    beard = person.beard
    tail = person.hair == "tail"

    def paint(x: F32, y: F32, z: F32) -> NDArray[np.uint8]:
        material = np.full(x.shape, M.SKIN, dtype=np.uint8)
        low = -0.62 if tail else -0.42
        material[(z < -0.08 + 0.12 * np.abs(x)) & (y > low)] = M.HAIR
        if beard:
            material[(y < -0.34 - 0.25 * np.maximum(z, 0)) & (z > -0.15)] = M.HAIR
        material[y > 0.42 - 0.06 * z] = M.CAP
        eyes = (((np.abs(x) - 0.37) / 0.085) ** 2 + ((y - 0.03) / 0.10) ** 2 < 1) & (z > 0)
        material[eyes] = M.EYE
        mouth = (np.abs(x) < 0.22) & (np.abs(y + 0.55 - 0.3 * x * x) < 0.04) & (z > 0)
        material[mouth] = M.LIP
        brows = (np.abs(np.abs(x) - 0.38) < 0.16) & (np.abs(y - 0.23 - 0.1 * x * x) < 0.035)
        material[brows & (z > 0)] = M.HAIR
        return material

    canvas.ellipsoid(pose.head, axes, Part.HEAD, paint)
    # the jaw gives the egg its chin
    chin = pose.head - crown * (0.56 * r) + face * (0.15 * r)
    chin_axes = np.stack([side * (0.54 * r), crown * (0.58 * r), face * (0.66 * r)])
    chin_paint = M.HAIR if beard else M.SKIN
    canvas.ellipsoid(chin, chin_axes, Part.HEAD, int(chin_paint))
    nose = pose.head + face * (0.92 * r) - crown * (0.20 * r)
    canvas.limb(
        nose + crown * (0.17 * r) - face * (0.06 * r), nose, 0.07 * r, 0.13 * r, M.SKIN, Part.HEAD
    )
    for way in (1.0, -1.0):
        ear = pose.head + side * (0.74 * r * way) - crown * (0.08 * r) - face * (0.08 * r)
        ear_axes = np.stack([side * (0.12 * r), crown * (0.26 * r), face * (0.17 * r)])
        canvas.ellipsoid(ear, ear_axes, Part.EAR, int(M.SKIN))
    # crown of the cap, a little wider than the head
    cap = np.stack([side * (0.83 * r), crown * (0.86 * r), face * (0.99 * r)])

    def cloth(x: F32, y: F32, z: F32) -> NDArray[np.uint8]:
        return np.where(y > 0.20 - 0.06 * z, M.CAP, M.NOTHING).astype(np.uint8)

    canvas.ellipsoid(pose.head + crown * (0.24 * r), cap, Part.HEAD, cloth)
    _brim(canvas, pose, r, side)
    if tail:
        knot = pose.head - face * (0.95 * r) + crown * (0.16 * r)
        drop = knot - UP * (0.9 * r) - face * (0.45 * r)
        mid = _lerp(knot, drop, 0.45) - face * (0.2 * r)
        canvas.limb(knot, mid, 0.24 * r, 0.30 * r, M.HAIR, Part.TAIL)
        canvas.limb(mid, drop, 0.30 * r, 0.08 * r, M.HAIR, Part.TAIL)


def _brim(canvas: Canvas, pose: Pose, r: float, side: Vec) -> None:
    face, crown = pose.face_way, pose.crown_way
    ahead = unit(face - crown * 0.16)
    base = pose.head + crown * (0.44 * r) + face * (0.46 * r)
    angles = np.linspace(-np.pi / 2, np.pi / 2, 15)
    rim = (
        base
        + np.outer(np.sin(angles) * 0.78 * r, side)
        + np.outer(np.cos(angles) ** 0.8 * 0.95 * r, ahead)
    )
    above = float((canvas.camera.eye - pose.head) @ cross(ahead, side)) < 0
    for one, two in pairwise(rim):
        sliver = np.stack([base, one, two])
        canvas.plate(sliver, M.BRIM, Part.BRIM, 0.3 if above else -0.5)
    for one, two in pairwise(rim):
        canvas.limb(one, two, 0.05 * r, 0.05 * r, M.BRIM, Part.BRIM)


def club(canvas: Canvas, body: Body, pose: Pose) -> None:
    """Draws shaft, grip and head."""
    shaft = unit(pose.club_head - pose.butt)
    grip_end = pose.grip + shaft * 0.14
    length = norm(pose.club_head - pose.butt)
    neck = pose.club_head - pose.toe_way * 0.034
    canvas.limb(pose.butt, grip_end, 0.0145, 0.0115, M.GRIP, Part.CLUB)
    hosel = _lerp(pose.butt, neck, 1 - 0.05 / length)
    canvas.limb(grip_end, hosel, 0.0075, 0.0055, M.STEEL, Part.CLUB)
    if body.club == "driver":
        face = cross(shaft, pose.toe_way)
        axes = np.stack([pose.toe_way * 0.062, shaft * 0.034, face * 0.056])
        canvas.ellipsoid(pose.club_head, axes, Part.CLUB, int(M.HEAD))
        canvas.limb(hosel, neck, 0.007, 0.009, M.HEAD, Part.CLUB)
        return
    canvas.limb(hosel, neck + shaft * 0.01, 0.0075, 0.012, M.HEAD, Part.CLUB)
    toe = pose.club_head + pose.toe_way * 0.036
    canvas.limb(neck + shaft * 0.012, toe, 0.015, 0.027, M.HEAD, Part.CLUB)


def ball(canvas: Canvas, place: Vec) -> None:
    """Draws the ball; far away it stays at least a visible dot."""
    r = max(BALL_RADIUS_M * 1.1, 0.9 / canvas.scale(float(canvas.at(place)[2])))
    canvas.limb(place, place, r, r, M.BALL, Part.BALL)
