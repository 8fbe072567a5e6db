"""One frame of a film: the figure, its shadow, club and ball on the range."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from media_tools.mannequin import figure
from media_tools.mannequin.camera import Camera, stand
from media_tools.mannequin.canvas import Canvas
from media_tools.mannequin.framecode import draw_frame_code
from media_tools.mannequin.motion import Motion, key_times_s, keys
from media_tools.mannequin.params import Film, Swinger
from media_tools.mannequin.props import blend, box_around
from media_tools.mannequin.scene import backdrop
from media_tools.mannequin.skeleton import Body, Pose
from media_tools.mannequin.vectors import Vec, vec

TAIL_S = 1.0  # a film goes on this long after the last swing unless told otherwise
LAUNCH_M_S, LAUNCH_UP = 52.0, 0.30  # of the ball; enough to be seen leaving
FLIGHT_S = 2.2
SHUTTER_S = 1 / 250


@lru_cache(maxsize=32)
def motion_of(film: Film) -> Motion:
    """The whole movement of a film."""
    return Motion(film.swinger, film.swings)


@lru_cache(maxsize=32)
def camera_of(film: Film) -> Camera:
    """The camera of a film."""
    return stand(film.swinger, film.view, film.size_px, film.zoom)


@lru_cache(maxsize=32)
def _tones(person: Swinger) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    return figure.tones(person)


def length_s(film: Film) -> float:
    """How long a film runs."""
    if film.duration_s is not None:
        return film.duration_s
    last = film.swings[-1]
    return last.start_s + key_times_s(last.swing)["P10"] + TAIL_S


def frame_count(film: Film) -> int:
    return max(round(length_s(film) * film.fps), 1)


def frame_time(film: Film, number: int) -> Fraction:
    """A frame's presentation time in seconds, exact."""
    return Fraction(number) / Fraction(film.fps)


def ball_at(film: Film, when_s: float) -> tuple[Vec | None, bool]:
    """Where the ball is, if there is one, and whether it lies still."""
    current = film.swings[0]
    for timed, settled in zip(film.swings, motion_of(film).settled_s, strict=True):
        if when_s >= settled:
            current = timed
    if not current.swing.strike:
        return None, True
    _, setup = keys(film.swinger, current.swing)
    side = 1.0 if film.swinger.handed == "right" else -1.0
    place = setup.ball * vec(1, 1, side)
    flown = when_s - (current.start_s + key_times_s(current.swing)["P7"])
    if flown <= 0:
        return place, True
    if flown > FLIGHT_S:
        return None, False
    rise = LAUNCH_M_S * LAUNCH_UP * flown - 9.81 / 2 * flown * flown * 0.7
    return place + vec(LAUNCH_M_S * flown * 0.94, max(rise, 0.0), 0.0), False


def draw_array(film: Film, number: int, finer: int = 2) -> NDArray[np.uint8]:
    """Frame `number` as an array (rows, columns, 3); `finer` is how much larger it is drawn."""
    when = float(frame_time(film, number))
    picture = paint(film, when, finer)
    if film.frame_code:
        draw_frame_code(picture, number)
    return picture


def draw_frame(film: Film, number: int, finer: int = 3) -> Image.Image:
    """Frame `number` of a film as a picture."""
    return Image.fromarray(draw_array(film, number, finer))


def paint(film: Film, when_s: float, finer: int = 2) -> NDArray[np.uint8]:
    """The picture at any time of a film, without a frame's number."""
    camera, motion = camera_of(film), motion_of(film)
    pose, body = motion.pose(when_s), motion.body(when_s)
    picture = backdrop(film).copy()
    place, still = ball_at(film, when_s)
    _shadow(picture, camera, body, pose, place if still else None)
    if film.blur:
        _trail(picture, camera, motion, when_s)
    joints = np.stack([
        pose.head, pose.lead_elbow, pose.trail_elbow, pose.lead_knee, pose.trail_knee,
        pose.lead_toe, pose.trail_toe, pose.lead_shoulder, pose.trail_shoulder, pose.pelvis,
        pose.butt, pose.club_head,
    ])  # fmt: skip
    if place is not None and still:
        joints = np.vstack([joints, place])
    box = box_around(camera, joints, 0.2)
    ramps, inks = _tones(film.swinger)
    line_px = max(1.0, min(film.size_px) / 640)
    ball_drawn = place is None
    if box is not None:
        canvas = Canvas(camera, box, finer)
        figure.dress(canvas, film.swinger, body, pose)
        figure.club(canvas, body, pose)
        if place is not None and still:
            figure.ball(canvas, place)
            ball_drawn = True
        blend(picture, canvas, ramps, inks, line_px)
    if not ball_drawn and place is not None:
        around = box_around(camera, place[None, :], 0.1)
        if around is not None:
            canvas = Canvas(camera, around, 4)
            figure.ball(canvas, place)
            blend(picture, canvas, ramps, inks, 0.5)
    return picture


_BONES = (
    ("pelvis", "neck", 0.15), ("neck", "head", 0.09), ("lead_shoulder", "lead_elbow", 0.055),
    ("lead_elbow", "lead_wrist", 0.04), ("trail_shoulder", "trail_elbow", 0.055),
    ("trail_elbow", "trail_wrist", 0.04), ("lead_hip", "lead_knee", 0.085),
    ("lead_knee", "lead_ankle", 0.06), ("trail_hip", "trail_knee", 0.085),
    ("trail_knee", "trail_ankle", 0.06), ("lead_ankle", "lead_toe", 0.05),
    ("trail_ankle", "trail_toe", 0.05), ("grip", "club_head", 0.012),
)  # fmt: skip


def _shadow(
    picture: NDArray[np.uint8], camera: Camera, body: Body, pose: Pose, ball: Vec | None
) -> None:
    """The figure's shadow on the ground, away from the sun at the camera's left."""
    away = camera.right * 0.42 - camera.ahead * -0.30

    def ground(point: Vec) -> Vec:
        spot = point + away * float(point[1])
        return spot * vec(1, 0, 1)

    lines = [
        (ground(getattr(pose, a)), ground(getattr(pose, b)), r * body.scale) for a, b, r in _BONES
    ]
    ends = np.concatenate([[a, b] for a, b, _ in lines])
    box = box_around(camera, ends, 0.25)
    if box is None:
        return
    left, top, right, bottom = box
    coarse = 2
    mask = Image.new("L", ((right - left) // coarse + 1, (bottom - top) // coarse + 1), 0)
    pen = ImageDraw.Draw(mask)
    for a, b, r in lines:
        (ax, ay), (bx, by) = camera.pixel(a), camera.pixel(b)
        wide = r * 1.3 * camera.px_per_m(a)
        pen.line(
            ((ax - left) / coarse, (ay - top) / coarse, (bx - left) / coarse, (by - top) / coarse),
            fill=92, width=max(round(wide / coarse), 1),
        )  # fmt: skip
    for foot in (pose.lead_ankle, pose.trail_ankle):
        x, y = camera.pixel(ground(foot))
        w, h = 0.15 * camera.px_per_m(foot) / coarse, 0.05 * camera.px_per_m(foot) / coarse
        x, y = (x - left) / coarse, (y - top) / coarse
        pen.ellipse((x - w, y - h, x + w, y + h), fill=110)
    if ball is not None:
        x, y = camera.pixel(ball * vec(1, 0, 1))
        w = 0.035 * camera.px_per_m(ball) / coarse
        x, y = (x - left) / coarse + w * 0.4, (y - top) / coarse
        pen.ellipse((x - w, y - w * 0.4, x + w, y + w * 0.4), fill=120)
    soft = camera.focal_px / 4.8 * 0.018 / coarse
    mask = mask.filter(ImageFilter.GaussianBlur(soft))
    full = mask.resize(((right - left), (bottom - top)), Image.Resampling.BILINEAR)
    keep = (255 - np.asarray(full, dtype=np.uint16))[..., None]
    patch = picture[top:bottom, left:right]
    tint = np.array([28, 44, 46], dtype=np.uint16)
    patch[...] = (patch * keep + tint * (255 - keep)) // 255


def _trail(picture: NDArray[np.uint8], camera: Camera, motion: Motion, when_s: float) -> None:
    """The blur that a fast club leaves across the shutter's opening, behind the sharp club."""
    times = np.linspace(when_s - SHUTTER_S, when_s, 7)
    poses = [motion.pose(float(t)) for t in times]
    heads = [camera.pixel(p.club_head) for p in poses]
    moved = float(np.hypot(heads[-1][0] - heads[0][0], heads[-1][1] - heads[0][1]))
    if moved < 0.05 * camera.px_per_m(poses[-1].club_head):
        return
    grips = [camera.pixel(p.grip) for p in poses]
    points = np.array(heads + grips)
    left, top = (max(int(v) - 4, 0) for v in points.min(axis=0))
    right = min(int(points[:, 0].max()) + 5, camera.size_px[0])
    bottom = min(int(points[:, 1].max()) + 5, camera.size_px[1])
    if right <= left or bottom <= top:
        return
    mask = Image.new("L", ((right - left) * 2, (bottom - top) * 2), 0)
    pen = ImageDraw.Draw(mask)
    for k in range(len(times) - 1):
        corners = [grips[k], heads[k], heads[k + 1], grips[k + 1]]
        pen.polygon([((x - left) * 2, (y - top) * 2) for x, y in corners], fill=18 + 9 * k)
    cover = np.asarray(mask.reduce(2), dtype=np.uint16)[..., None]
    patch = picture[top:bottom, left:right]
    tint = np.array([236, 238, 240], dtype=np.uint16)
    patch[...] = (patch * (255 - cover) + tint * cover) // 255
