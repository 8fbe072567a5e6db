"""How a camera stands to a player, and what the picture's sides are then called.

static/marks/measures.js has the same words.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

ERROR_PX = 3.0  # of one coordinate; settable by the coach

WAYS = {
    "face-on": ("toward the target", "away from the target"),
    "down-the-line": ("toward the ball", "away from the ball"),
    "other": ("to the right", "to the left"),
}


@dataclass(frozen=True)
class Sight:
    """The camera's place, the player's hand, and how exactly the coach marks.

    `error_px` is the plus-or-minus of one coordinate of one marked point, in the still's
    pixels: about 95 in 100 fall within it (twice the standard deviation, the expanded
    uncertainty with k = 2 of JCGM 100:2008). Measures made from it are as sure.
    """

    view: str = "other"
    handed: str = "right"
    error_px: float = ERROR_PX

    @property
    def side(self) -> int:
        """+1 where the target (face-on) or the ball (down-the-line) is right in the picture.

        Face-on, a right-handed player has the target to their left, on the picture's right.
        From behind, down the line, a right-handed player faces the picture's right.
        """
        return -1 if self.handed == "left" and self.view != "other" else 1

    @property
    def ways(self) -> tuple[str, str]:
        """What a value above and below zero is called."""
        return WAYS.get(self.view, WAYS["other"])

    def as_json(self) -> dict[str, Any]:
        return {"view": self.view, "handed": self.handed, "error_px": self.error_px}
