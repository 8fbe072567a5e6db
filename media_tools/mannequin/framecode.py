"""A frame's own number as a small board of black and white squares in its corner.

Four rows of eight squares: a guard in each corner (white, black / black, white), twenty bits of
number and eight of a check sum. A square's side is a 36th of the picture's shorter side, so the
board is found again at any scale; the squares are wide enough for 4:2:0 video at a coarse
quantiser and half the size.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image

ROWS, COLUMNS = 4, 8
SQUARES_ACROSS = 36  # of the shorter side
MOST = (1 << 20) - 1
_GUARDS = {(0, 0): 1, (0, COLUMNS - 1): 0, (ROWS - 1, 0): 0, (ROWS - 1, COLUMNS - 1): 1}


class FrameCodeError(ValueError):
    """The picture carries no frame number that can be read."""


def _check(number: int) -> int:
    """CRC-8 with the polynomial x^8 + x^2 + x + 1 over the three bytes of the number."""
    crc = 0xA5
    for byte in number.to_bytes(3, "big"):
        crc ^= byte
        for _ in range(8):
            crc = ((crc << 1) ^ 0x07) & 0xFF if crc & 0x80 else crc << 1
    return crc


def _bits(number: int) -> list[int]:
    word = number << 8 | _check(number)
    return [word >> k & 1 for k in range(27, -1, -1)]


def draw_frame_code(picture: NDArray[np.uint8], number: int) -> None:
    """Draws the number on a picture (rows, columns, 3) in place, in its upper left corner.

    Raises ValueError for a number outside 0 to 1,048,575.
    """
    if not 0 <= number <= MOST:
        raise ValueError(f"a frame's number is 0 to {MOST}, not {number}")
    side = min(picture.shape[:2]) / SQUARES_ACROSS
    edges = [round(side * (k + 0.5)) for k in range(COLUMNS + 1)]
    picture[: round(side * (ROWS + 1)), : round(side * (COLUMNS + 1))] = 128
    bits = iter(_bits(number))
    for row in range(ROWS):
        for column in range(COLUMNS):
            guard = _GUARDS.get((row, column))
            bit = next(bits) if guard is None else guard
            picture[edges[row] : edges[row + 1], edges[column] : edges[column + 1]] = (
                235 if bit else 20
            )


def read_frame_code(image: Image.Image | NDArray[np.uint8]) -> int:
    """The number drawn into a frame by `draw_frame_code`, at the frame's size or another.

    Raises FrameCodeError where the guards or the check sum do not hold.
    """
    grey = np.asarray(image if isinstance(image, Image.Image) else Image.fromarray(image))
    if grey.ndim == 3:
        grey = grey[..., :3].mean(axis=-1)
    side = min(grey.shape) / SQUARES_ACROSS
    word, guards_hold = 0, True
    for row in range(ROWS):
        for column in range(COLUMNS):
            top, left = side * (row + 0.75), side * (column + 0.75)
            inner = grey[
                round(top) : max(round(top + side / 2), round(top) + 1),
                round(left) : max(round(left + side / 2), round(left) + 1),
            ]
            bit = int(float(inner.mean()) > 128)
            guard = _GUARDS.get((row, column))
            if guard is None:
                word = word << 1 | bit
            else:
                guards_hold = guards_hold and bit == guard
    number, check = word >> 8, word & 0xFF
    if not guards_hold or check != _check(number):
        raise FrameCodeError("no frame number can be read in this picture")
    return number
