"""The pinhole camera: where it stands for each view and what it sees where.

Pixels are counted so that a whole number is a pixel's centre: the picture runs from -0.5 to
width - 0.5.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from media_tools.mannequin.params import Swinger, View
from media_tools.mannequin.vectors import UP, Vec, cross, vec

DISTANCE_M = 4.8
HEIGHT_M = 1.05  # about the hands' height, as is common practice


@dataclass(frozen=True, slots=True, eq=False)
class Camera:
    """A camera looking level; its picture plane stays upright.

    focal_px: pixels a metre takes at one metre's depth.
    centre_px: where the point straight ahead falls.
    """

    eye: Vec
    ahead: Vec
    focal_px: float
    centre_px: tuple[float, float]
    size_px: tuple[int, int]

    @property
    def right(self) -> Vec:
        return cross(self.ahead, UP)

    def pixels(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Column, row and depth in metres of points in the world, shape (..., 3) to (..., 3)."""
        offset = points - self.eye
        depth = offset @ self.ahead
        safe = np.maximum(depth, 1e-3)
        return np.stack(
            [
                self.centre_px[0] + self.focal_px * (offset @ self.right) / safe,
                self.centre_px[1] - self.focal_px * (offset @ UP) / safe,
                depth,
            ],
            axis=-1,
        )

    def pixel(self, point: Vec) -> tuple[float, float]:
        column, row, _ = self.pixels(point)
        return float(column), float(row)

    def px_per_m(self, point: Vec) -> float:
        """Pixels a metre across the view takes at a point's depth."""
        return self.focal_px / float((point - self.eye) @ self.ahead)

    def seen(self, point: Vec) -> bool:
        column, row, depth = self.pixels(point)
        width, height = self.size_px
        return bool(depth > 0.1 and -0.5 <= column < width - 0.5 and -0.5 <= row < height - 0.5)


def stand(person: Swinger, view: View, size_px: tuple[int, int], zoom: float = 1.0) -> Camera:
    """The camera for a view, far enough that club and player stay in the picture."""
    width, height = size_px
    k = person.height_m / 1.78
    side = 1.0 if person.handed == "right" else -1.0
    if view == "face-on":
        half_width, tall, eye, ahead = (
            1.37,
            2.5,
            vec(0, HEIGHT_M, DISTANCE_M * side),
            vec(0, 0, -side),
        )
    else:
        half_width, tall, eye, ahead = (
            1.0,
            2.6,
            vec(-DISTANCE_M, HEIGHT_M, 0.2 * side),
            vec(1, 0, 0),
        )
    reach = max(0.9, k)
    px_per_m = zoom * min(width / (2 * half_width * reach), height / (tall * reach))
    ground_row = height - 0.5 * max(0.62 * px_per_m, height - 1.9 * px_per_m * reach)
    ground_row = min(ground_row, 0.86 * height)
    return Camera(
        eye=eye,
        ahead=ahead,
        focal_px=px_per_m * DISTANCE_M,
        centre_px=((width - 1) / 2, ground_row - HEIGHT_M * px_per_m),
        size_px=size_px,
    )
