"""How a stored picture must be turned and mirrored to stand as it was filmed.

Cameras store pictures as the sensor sees them and add a display matrix (ISO/IEC 14496-12, the
track header's matrix). Readers differ in whether and how they apply it, and versions of ffmpeg
differ for mirrored ones: so it is read in one place and applied by our own hand everywhere.
"""

from __future__ import annotations

import math
import struct
from dataclasses import dataclass

from PIL import Image

_FILTERS: dict[tuple[int, int, int, int], tuple[tuple[str, str], ...]] = {
    (1, 0, 0, 1): (),
    (-1, 0, 0, 1): (("hflip", ""),),
    (1, 0, 0, -1): (("vflip", ""),),
    (-1, 0, 0, -1): (("hflip", ""), ("vflip", "")),
    (0, 1, -1, 0): (("transpose", "clock"),),
    (0, -1, 1, 0): (("transpose", "cclock"),),
    (0, 1, 1, 0): (("transpose", "cclock_flip"),),
    (0, -1, -1, 0): (("transpose", "clock_flip"),),
}
_METHODS: dict[tuple[int, int, int, int], Image.Transpose] = {
    (-1, 0, 0, 1): Image.Transpose.FLIP_LEFT_RIGHT,
    (1, 0, 0, -1): Image.Transpose.FLIP_TOP_BOTTOM,
    (-1, 0, 0, -1): Image.Transpose.ROTATE_180,
    (0, 1, -1, 0): Image.Transpose.ROTATE_270,  # Pillow turns counter-clockwise
    (0, -1, 1, 0): Image.Transpose.ROTATE_90,
    (0, 1, 1, 0): Image.Transpose.TRANSPOSE,
    (0, -1, -1, 0): Image.Transpose.TRANSVERSE,
}


@dataclass(frozen=True)
class Orientation:
    """One of the eight ways to lay a picture.

    `to_right` and `to_down` are where the stored picture's right and down directions point in
    the shown picture, as (x, y) with y downwards.
    """

    to_right: tuple[int, int] = (1, 0)
    to_down: tuple[int, int] = (0, 1)

    @classmethod
    def from_matrix(cls, data: bytes) -> Orientation:
        """Read a display matrix: nine native 32-bit integers (a b u, c d v, x y w).

        The stored point (p, q) is shown at (a p + c q, b p + d q). An angle that is no multiple
        of 90 degrees is taken as the nearest one; a matrix of zeros as no turn at all.
        """
        if len(data) < 36:
            return cls()
        a, b, _, c, d = struct.unpack_from("=5i", data)
        if a * d - b * c == 0:
            return cls()
        if abs(a) + abs(d) >= abs(b) + abs(c):
            return cls((1 if a > 0 else -1, 0), (0, 1 if d > 0 else -1))
        return cls((0, 1 if b > 0 else -1), (1 if c > 0 else -1, 0))

    @property
    def sideways(self) -> bool:
        """Width and height change places."""
        return self.to_right[0] == 0

    @property
    def mirrored(self) -> bool:
        """Left and right are exchanged (before the turn)."""
        return self.to_right[0] * self.to_down[1] - self.to_right[1] * self.to_down[0] < 0

    @property
    def rotation_deg(self) -> int:
        """Clockwise turn, after the mirroring if there is one: 0, 90, 180 or 270."""
        sign = -1 if self.mirrored else 1
        return round(math.degrees(math.atan2(sign * self.to_right[1], sign * self.to_right[0]))) % (
            360
        )

    @property
    def _key(self) -> tuple[int, int, int, int]:
        return (*self.to_right, *self.to_down)

    def filters(self) -> tuple[tuple[str, str], ...]:
        """ffmpeg's filters that do it, as (name, argument) pairs."""
        return _FILTERS[self._key]

    def size(self, width_px: int, height_px: int) -> tuple[int, int]:
        """The shown width and height of a stored picture (and the other way round)."""
        return (height_px, width_px) if self.sideways else (width_px, height_px)

    def apply(self, image: Image.Image) -> Image.Image:
        """The picture as it is shown."""
        method = _METHODS.get(self._key)
        return image if method is None else image.transpose(method)
