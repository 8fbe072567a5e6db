"""The tools of the board, in the order in which they stand; the key of each is its number."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Tool:
    name: str
    word: str
    key: str
    hint: str


TOOLS = (
    Tool("choose", "Choose", "1", "Tap a mark to change it. Drag to move it."),
    Tool("line", "Line", "2", "Drag from one end to the other."),
    Tool("arrow", "Arrow", "3", "Drag towards what the arrow points at."),
    Tool("angle", "Angle", "4", "Drag along one arm to the corner, then tap the other arm's end."),
    Tool("box", "Box", "5", "Drag from one corner to the opposite one."),
    Tool("ellipse", "Ellipse", "6", "Drag across what to ring."),
    Tool("freehand", "Freehand", "7", "Draw as with a pencil."),
    Tool("label", "Label", "8", "Tap where the words belong."),
    Tool("ruler", "Ruler", "9", "Drag along a length you know: the ball, the club, the player."),
    Tool("point", "Point", "p", "Tap a spot. It is measured against the line drawn last."),
)
