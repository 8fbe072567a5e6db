"""A patterned thing that moves, turns and grows before a patterned ground, by scipy's hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from media_tools.follow import Held
from media_tools.times import Times

HEIGHT, WIDTH, SIDE = 240, 320, 64
FRAME_US = 16_667


@dataclass(frozen=True)
class At:
    """Where the thing's middle is, its size by the first frame's, its turn clockwise."""

    x: float
    y: float
    scale: float = 1.0
    turn_deg: float = 0.0


def pattern(seed: int, height: int, width: int, grain: float = 3.0) -> npt.NDArray[np.float64]:
    """Blotches of about `grain` pixels, grey levels 30 to 220."""
    rough = np.random.default_rng(seed).standard_normal((height, width))
    smooth = ndimage.gaussian_filter(rough, grain)
    low, high = smooth.min(), smooth.max()
    result: npt.NDArray[np.float64] = 30 + 190 * (smooth - low) / (high - low)
    return result


def moving(
    way: Callable[[int], At],
    count: int,
    noise: float = 0.0,
    changed: Callable[[int], float] = lambda frame: 0.0,
) -> Held:
    """`count` frames in which the thing, SIDE pixels square, is at `way(frame)`.

    changed: how much of another pattern it has taken on by then, 0 to 1.
    scipy.ndimage.affine_transform with cubic splines places it: not the routine that follows.
    """
    ground = pattern(1, HEIGHT, WIDTH)
    before, after = pattern(2, SIDE, SIDE), pattern(5, SIDE, SIDE)
    grain = np.random.default_rng(3)
    rows, columns = np.mgrid[:HEIGHT, :WIDTH]
    pictures = []
    for frame in range(count):
        at = way(frame)
        thing = before + changed(frame) * (after - before)
        turn = np.deg2rad(at.turn_deg)
        right, down = (columns - at.x) / at.scale, (rows - at.y) / at.scale
        across = np.cos(turn) * right + np.sin(turn) * down
        along = -np.sin(turn) * right + np.cos(turn) * down
        middle = (SIDE - 1) / 2
        spots = np.array([along + middle, across + middle])
        inside = (np.abs(across) <= middle) & (np.abs(along) <= middle)
        picture = ground.copy()
        picture[inside] = ndimage.map_coordinates(thing, spots[:, inside], order=3, mode="nearest")
        if noise:
            picture += grain.normal(0, noise, picture.shape)
        pictures.append(np.clip(picture, 0, 255).astype(np.uint8))
    return Held(times(count), pictures)


def times(count: int) -> Times:
    return np.arange(count, dtype=np.int64) * FRAME_US
