"""Which moments of the clock a film shows, frame after frame. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

RATE_HZ = 30


@dataclass(frozen=True)
class Pause:
    """Where a film stands still: a moment of the clock, for how long, and what is said there."""

    clock_us: int
    hold_us: int
    words: str = ""


@dataclass(frozen=True)
class Shot:
    """One moment of the clock, shown for so many frames of the film."""

    clock_us: int
    frames: int = 1
    words: str = ""


def shots(
    begin_us: int, end_us: int, speed: float, pauses: Iterable[Pause], rate_hz: int = RATE_HZ
) -> list[Shot]:
    """The film from begin to end of the clock at a speed (1: as in life), with its pauses.

    A pause stands exactly at its moment, whatever the film's own rate. Pauses outside of begin
    and end are left out; of two at the same moment, the last. Raises ValueError where the end
    lies before the begin or the speed is not above 0.
    """
    if end_us < begin_us or speed <= 0:
        raise ValueError(f"no film runs from {begin_us} to {end_us} us at speed {speed}")
    held = {p.clock_us: p for p in pauses if begin_us <= p.clock_us <= end_us}
    found: list[Shot] = []
    count = int((end_us - begin_us) * rate_hz / 1_000_000 / speed + 1e-6) + 1
    moving = [begin_us + round(k * 1_000_000 * speed / rate_hz) for k in range(count)]
    for clock_us in sorted({*moving, *held}):
        pause = held.get(clock_us)
        if pause:
            frames = max(1, round(pause.hold_us * rate_hz / 1_000_000))
            found.append(Shot(clock_us, frames, pause.words))
        else:
            found.append(Shot(clock_us))
    return found


def length_us(film: Sequence[Shot], rate_hz: int = RATE_HZ) -> int:
    """How long the film lasts."""
    return round(sum(shot.frames for shot in film) * 1_000_000 / rate_hz)


def shown_us(film: Sequence[Shot], clock_us: int, rate_hz: int = RATE_HZ) -> int:
    """When the film shows a moment of the clock or the first one after it; else its last."""
    before = 0
    for shot in film:
        if shot.clock_us >= clock_us:
            break
        before += shot.frames
    before = min(before, sum(shot.frames for shot in film) - 1)
    return round((before + 0.5) * 1_000_000 / rate_hz)
