"""A path in a coach's words: how far it went outside its line, where it was lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lessons.clips.positions import SwingPosition
from lessons.paths.drift import Drift, Largest, Wall
from lessons.paths.went import Went

OF_BOX = "of the box's width "
APART_US = 60_000  # in real time, between two frames that are worth a box each


@dataclass(frozen=True)
class Fact:
    """One thing that a path says."""

    name: str
    words: str


def facts_of(drift: Drift, positions: Sequence[SwingPosition]) -> list[Fact]:
    """How far it went each way, against the line at its edge; nothing where that is not known."""
    until = ", up to impact" if drift.until else ""
    names = f"Sideways{until}", f"Up and down{until}"
    both = zip(names, (drift.sideways, drift.rise), drift.walls, strict=False)
    return [
        Fact(name, _far_words(drift, largest, wall, positions))
        for name, largest, wall in both
        if largest
    ]


def _far_words(
    drift: Drift, largest: Largest, wall: Wall, positions: Sequence[SwingPosition]
) -> str:
    """'Up to 11 ±1 cm outside its line at address, away from the target, near P4.'"""
    amount = largest.amount
    line = f"its line {'at address' if drift.origin_words == 'P1' else drift.origin_words}"
    if amount.is_clear:
        words = f"Up to {amount.short} {OF_BOX if amount.unit == '%' else ''}"
        if wall.is_upright:
            words += f"outside {line}, {amount.way}"
        else:
            words += f"{'above' if amount.way == 'up' else 'below'} {line}"
        if largest.where:
            words += f", {largest.where}"
        after = [] if wall.first_us is None else _from(positions, wall.first_us)
        if after and after[0].time_us < largest.place.time_us:
            words += f"; past the line before {after[0].position}"
    else:
        words = f"Stayed on {line}: {amount.short}, within the error"
    return words + ("." if drift.is_whole else ", as far as it was found.")


def gap_words(
    gap: tuple[int, int], went: Went, positions: Sequence[SwingPosition], slowdown: float
) -> str:
    """When a patch was not found: 'from 0.30 s after P1 to the end'."""
    first_us, last_us = gap
    origin = positions[0].position if positions else "the beginning"
    origin_us = positions[0].time_us if positions else went.times_us[0]

    def since(time_us: int) -> str:
        return f"{(time_us - origin_us) / 1e6 / slowdown:.2f}"

    if last_us < origin_us:
        return f"before {origin}"
    if last_us == went.times_us[-1]:
        if first_us <= origin_us:
            return f"from {origin} to the end"
        return f"from {since(first_us)} s after {origin} to the end"
    if first_us <= origin_us:
        return f"up to {since(last_us)} s after {origin}"
    words = f"from {since(first_us)} to {since(last_us)} s after {origin}"
    if since(first_us) == since(last_us):
        words = f"at {since(first_us)} s after {origin}"
    before = [p.position for p in positions if p.time_us <= first_us]
    after = _from(positions, last_us)
    if before and after:
        words += f" (between {before[-1]} and {after[0].position})"
    return words


def lost_in(went: Went, begin_us: int, end_us: int) -> list[tuple[int, int]]:
    """The gaps within a span."""
    return [(first, last) for first, last in went.gaps if last >= begin_us and first <= end_us]


def worth_a_box(
    went: Went,
    gaps: Sequence[tuple[int, int]],
    positions: Sequence[SwingPosition],
    slowdown: float,
) -> list[int]:
    """The frames to be led to, in order: where each gap begins, and the positions within it."""
    at = [went.shown_us(p.time_us) for p in positions]
    stops: list[int] = []
    for first_us, last_us in gaps:
        stops.append(first_us)
        for time_us in at:
            if first_us < time_us <= last_us and time_us - stops[-1] > APART_US * slowdown:
                stops.append(time_us)
    return stops


def _from(positions: Sequence[SwingPosition], time_us: int) -> list[SwingPosition]:
    return [p for p in positions if p.time_us >= time_us]
