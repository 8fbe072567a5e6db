"""How marks look: the measures, colours and limits that the browser and the server share.

`drawing.json` is the one place they stand. The server reads it here; the browser gets it from
`<mark-board data-drawing>`. Lengths in it are in units: a unit is the square root of the
picture's area / `unit_per_side`, so marks look the same on a small still as on a large one.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

CONSTANTS: dict[str, Any] = json.loads(Path(__file__).with_name("drawing.json").read_text())


@dataclass(frozen=True)
class Colour:
    """One colour of the palette: text on it is drawn in `ink`, around it runs `edge`."""

    value: str
    name: str
    ink: str
    edge: str


# Okabe and Ito, Color Universal Design, 2008
COLOURS = {c["value"]: Colour(**c) for c in CONSTANTS["colours"]}
LIMITS: dict[str, float] = CONSTANTS["limits"]
ADVANCES = {c: int(width) for width, row in CONSTANTS["advances"].items() for c in row}


@dataclass(frozen=True)
class Frame:
    """The picture that marks lie on: its size in pixels, and the drawing's unit in pixels."""

    width: float
    height: float

    @property
    def unit(self) -> float:
        return math.sqrt(self.width * self.height) / CONSTANTS["unit_per_side"]

    def px(self, name: str) -> float:
        """A length of drawing.json in pixels of this picture."""
        return CONSTANTS[name] * self.unit


def text_width(text: str, size: float) -> float:
    """Width in pixels that a text takes, whatever font draws it (it is fitted to this).

    Advances are those of a plain bold face (measured on Liberation Sans Bold), in 1/1000 em;
    letters not in the table count as a capital, East Asian ones and emoji as a full square.
    """
    total = 0
    for letter in text:
        if letter in ADVANCES:
            total += ADVANCES[letter]
        else:
            wide = ord(letter) >= 0x1100
            total += CONSTANTS["advance_wide" if wide else "advance_other"]
    return total * size / 1000
