"""How a patch stands in a picture, and the picture round it as if it stood upright."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

Grey = npt.NDArray[np.uint8]


@dataclass(frozen=True)
class Pose:
    """Where and how a patch stands: its middle in pixels, its size by the look's, its turn."""

    x: float
    y: float
    scale: float = 1.0
    turn: float = 0.0  # radians, clockwise in the picture

    def turned(self, by: float) -> Pose:
        """Turned on the spot, radians."""
        return Pose(self.x, self.y, self.scale, self.turn + by)

    def moved(self, right: float, down: float) -> Pose:
        """Shifted by an amount of the look's own pixels and directions."""
        c, s = math.cos(self.turn) * self.scale, math.sin(self.turn) * self.scale
        return Pose(
            self.x + c * right - s * down, self.y + s * right + c * down, self.scale, self.turn
        )


def window(frame: Grey, pose: Pose, width: int, height: int) -> Grey:
    """What lies round a pose, turned and sized back: (height, width), the pose in the middle."""
    c, s = math.cos(pose.turn) * pose.scale, math.sin(pose.turn) * pose.scale
    mx, my = (width - 1) / 2, (height - 1) / 2
    back = np.array(
        [[c, -s, pose.x - c * mx + s * my], [s, c, pose.y - s * mx - c * my]], np.float64
    )
    taken = cv2.warpAffine(
        frame,
        back,
        (width, height),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    return cv2.GaussianBlur(taken, (3, 3), 0)  # type: ignore[return-value]
