"""Things that stand about on the tee: a bag of clubs and a basket of balls."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from media_tools.mannequin.camera import Camera
from media_tools.mannequin.canvas import Canvas, ink, ramp
from media_tools.mannequin.params import RGB
from media_tools.mannequin.vectors import Vec, unit, vec

_COLOURS: tuple[RGB, ...] = (
    (0, 0, 0),
    (168, 72, 31),  # bag
    (58, 52, 50),  # bag's rim and legs
    (176, 182, 188),  # steel
    (248, 246, 238),  # balls
    (88, 96, 104),  # basket
    (214, 198, 166),  # bag's pocket
)
BAG, DARK, STEEL, WHITE, WIRE, POCKET = range(1, 7)


def blend(
    picture: NDArray[np.uint8], canvas: Canvas, ramps: NDArray[np.uint8],
    inks: NDArray[np.uint8], line_px: float,
) -> None:  # fmt: skip
    """Lays a canvas on a picture in place."""
    colour, cover = canvas.picture(ramps, inks, line_px)
    left, top, right, bottom = canvas.box
    patch = picture[top:bottom, left:right]
    rest = (255 - cover.astype(np.uint16))[..., None]
    patch[...] = colour + ((patch * rest + 127) // 255).astype(np.uint8)


def box_around(
    camera: Camera, points: NDArray[np.float64], margin_m: float
) -> tuple[int, int, int, int] | None:
    """Whole pixels holding some points and a margin round them, within the picture."""
    seen = camera.pixels(points)
    pad = margin_m * camera.focal_px / float(seen[:, 2].min())
    width, height = camera.size_px
    left = max(int(seen[:, 0].min() - pad), 0)
    top = max(int(seen[:, 1].min() - pad), 0)
    right = min(int(seen[:, 0].max() + pad) + 2, width)
    bottom = min(int(seen[:, 1].max() + pad) + 2, height)
    return (left, top, right, bottom) if right > left and bottom > top else None


def _basket(canvas: Canvas, foot: Vec) -> None:
    """A round wire basket heaped with balls."""
    turn = np.linspace(0, 2 * np.pi, 20, endpoint=False)
    circle = np.stack([np.cos(turn), 0 * turn, np.sin(turn)], axis=-1)
    heights = (0.01, 0.05, 0.10, 0.15, 0.20)
    rings = [foot + circle * (0.085 + 0.2 * h) + vec(0, h, 0) for h in heights]
    canvas.rings(np.stack(rings), [WIRE] * (len(rings) - 1), 6)
    canvas.rings(np.stack([rings[-1], rings[-1] + vec(0, 0.018, 0)]), [DARK], 7)
    for k in range(19):
        out, up = (0.085, 0.205) if k < 11 else (0.045, 0.232) if k < 17 else (0.012, 0.25)
        spot = foot + vec(out * float(np.cos(k * 2.4)), up, out * float(np.sin(k * 2.4)))
        canvas.limb(spot, spot, 0.024, 0.024, WHITE, 8 + k)


def stand_bag(picture: NDArray[np.uint8], camera: Camera, foot: Vec) -> None:
    """A bag leaning on its stand, with a basket of balls beside it."""
    side = 1.0 if foot[2] <= 0 else -1.0
    lean = unit(vec(0.22, 1.0, -0.16 * side))
    top = foot + lean * 0.86
    reach = np.stack([foot - vec(0.6, 0, 0.4), foot + vec(0.6, 0, 0.4), top + vec(0.4, 0.45, 0)])
    box = box_around(camera, reach, 0.1)
    if box is None:
        return
    canvas = Canvas(camera, box, 2)
    base = foot + lean * 0.12
    canvas.limb(base, top, 0.115, 0.125, BAG, 1)
    canvas.limb(top - lean * 0.05, top + lean * 0.0, 0.132, 0.132, DARK, 1)
    canvas.limb(base + lean * 0.02, base - lean * 0.02, 0.118, 0.118, DARK, 1)
    front = vec(-0.05, 0, 0.09 * side)
    canvas.limb(base + lean * 0.16 + front, base + lean * 0.42 + front, 0.075, 0.07, POCKET, 2)
    for spread in (-0.16, 0.16):
        canvas.limb(top - lean * 0.1, foot + vec(0.42, 0.01, spread), 0.011, 0.011, DARK, 3)
    for k, (dx, dz, long) in enumerate(
        ((-0.05, 0.04, 0.2), (0.03, -0.05, 0.26), (0.06, 0.05, 0.17), (-0.02, -0.01, 0.33))
    ):
        start = top + vec(dx, 0, dz)
        end = start + lean * long + vec(dx * 0.5, 0, dz * 0.5)
        canvas.limb(start, end, 0.009, 0.009, STEEL, 4)
        if k == 3:
            canvas.limb(end, end + vec(0.05, 0.03, 0), 0.05, 0.045, DARK, 5)
        else:
            canvas.limb(end, end + vec(0.06, 0.02, 0.02), 0.016, 0.024, STEEL, 5)
    _basket(canvas, foot + vec(-0.36, 0.0, 0.2 * side))
    ramps = np.stack([ramp(c) for c in _COLOURS])
    inks = np.stack([ink(c) for c in _COLOURS])
    blend(picture, canvas, ramps, inks, max(camera.size_px) / 1300)
