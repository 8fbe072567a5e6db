"""Stills of the demo's swings, and what is drawn on them.

Where joints and positions are is not measured here: the mannequin's truth says it.
"""

from __future__ import annotations

import math
import uuid
from collections.abc import Callable

from lessons.clips import tasks
from lessons.clips.models import Clip, Position, Still
from lessons.clips.placing import place
from lessons.clips.service import take_still
from media_tools.mannequin import Truth

BLUE, ORANGE, GREEN = "#0072B2", "#E69F00", "#009E73"
Marks = list[dict[str, object]]


def pull_at(clip: Clip, truth: Truth, position: str) -> Still:
    """The still of a position, placed where it truly is."""
    time_us = truth.swings[0].positions_us[position] - clip.offset_us
    swing = clip.swings.current().first()
    if swing is None:
        still = take_still(clip, time_us, Position(position))
    else:
        still = place(swing, position, time_us)
    tasks.pull(still.pk)
    still.refresh_from_db()
    if still.state != Still.State.READY:
        raise RuntimeError(f"no still at {position}: {still.reason}")
    return still


def mark(kind: str, colour: str, *points: tuple[float, float], **more: object) -> dict[str, object]:
    """One mark in the still's pixels; `more` is its name and the measure it shows."""
    rounded = [[round(x, 1), round(y, 1)] for x, y in points]
    named = {"text": "", **more}
    return {"id": str(uuid.uuid4()), "kind": kind, "points": rounded, "colour": colour, **named}


def at(truth: Truth, position: str, joint: str) -> tuple[float, float]:
    """Where a joint is at a position."""
    return truth.joint(joint, truth.frame_at(truth.swings[0].positions_us[position]))


def head_went(truth: Truth) -> Marks:
    """The head at address and at the top, and the line that the trail hip started on."""
    head, top = at(truth, "P1", "head"), at(truth, "P4", "head")
    hip, ankle = at(truth, "P1", "trail_hip"), at(truth, "P1", "trail_ankle")
    radius = 0.14 * truth.px_per_m
    outwards = 1 if hip[0] > at(truth, "P1", "lead_hip")[0] else -1
    line_x = hip[0] + outwards * 0.09 * truth.px_per_m
    circles = [
        mark("ellipse", BLUE, (x - radius, y - radius), (x + radius, y + radius))
        for x, y in (head, top)
    ]
    return [
        mark("line", ORANGE, (line_x, hip[1] - 0.25 * truth.px_per_m), (line_x, ankle[1])),
        *(circles if abs(head[0] - top[0]) > radius else circles[:1]),
    ]


def wrist_angle(truth: Truth) -> Marks:
    """The angle between lead arm and shaft coming down."""
    arm, grip = at(truth, "P6", "lead_elbow"), at(truth, "P6", "grip")
    return [mark("angle", ORANGE, arm, grip, at(truth, "P6", "club_head"), text="Lead wrist")]


def spine(truth: Truth, position: str) -> Marks:
    """Neck to hips, and how it leans."""
    lead, trail = at(truth, position, "lead_hip"), at(truth, position, "trail_hip")
    hips = ((lead[0] + trail[0]) / 2, (lead[1] + trail[1]) / 2)
    return [mark("line", GREEN, hips, at(truth, position, "neck"), text="Spine", shows="upright")]


def at_the_top(truth: Truth) -> Marks:
    return [*head_went(truth), *spine(truth, "P4")]


def set_up(truth: Truth) -> Marks:
    return spine(truth, "P1")


def known_length(truth: Truth) -> Marks:
    """A length that the coach has measured on the player, from neck to ankle at address."""
    neck, ankle = at(truth, "P1", "neck"), at(truth, "P1", "lead_ankle")
    length_mm = round(math.dist(neck, ankle) / truth.px_per_m * 100) * 10
    return [mark("ruler", BLUE, neck, ankle, length_mm=length_mm)]


MARKS: dict[tuple[str, str], Callable[[Truth], Marks]] = {
    ("tobias first", "P4"): at_the_top,
    ("tobias first", "P6"): wrist_angle,
    ("tobias start", "P4"): at_the_top,
    ("tobias end", "P4"): at_the_top,
    ("tobias start", "P6"): wrist_angle,
    ("tobias end", "P6"): wrist_angle,
    ("tobias middle", "P1"): set_up,
}
