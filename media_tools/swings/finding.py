"""Takes what moves as a swing and what sounds as a strike together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from media_tools.motion import Motion
from media_tools.sound import Onsets, Sound, onsets
from media_tools.swings.candidates import Candidate, candidates

By = Literal["sound and motion", "motion"]

STRETCHED = 1.5  # sound played this much slower than it was is no measure any more
LATE_S = 0.010  # a phone stands some 3.5 m from the ball; sound takes 343 m/s
EDITED_S = 0.05  # sound and picture further apart than any phone stands: moved by an edit
WINDOW_S = 0.16  # most between the strike seen and the strike heard
NARROW_S = 0.09  # the same, once a clip's usual distance between them is known
QUIETER_DB = 8.0  # than the loudest of the clip's own strikes: a neighbour's
LEAST_RISE_DB, SURE_RISE_DB = 4.0, 9.0
CLEARLY_DB = 8.0  # a strike that would stand out this far would be heard
USUAL_STRIKE_DB = -32.0  # of a strike's loudness, mean over the bands, where a clip has none

# Log odds, set on the mannequin's footage: for each decibel that an onset rises, at most; what it
# takes from that to lie this far from where it should, at most, as an edit may have moved it.
_CLEAR, _MOST_CLEAR = 0.6, 4.0
_SEEN_WITHIN_S, _MOVED = 0.06, 2.0
_SURE = 1.0


@dataclass(frozen=True)
class FoundSwing:
    """A swing in a clip; microseconds on the clock of the motion picture (rendition time).

    begin_us, finish_us: when the player begins to move and is still again.
    top_us: the top of the backswing; None where it can't be told.
    strike_us: contact with the ball; None for a practice swing. From the sound where it was heard
        (`by` 'sound and motion'), less the time that sound takes to a phone's usual place; else
        read off the motion, which is less exact.
    by: what it was found by.
    is_practice: there was sound in which a strike would have been heard, and there was none.
    confidence: 0 to 1.
    """

    begin_us: int
    top_us: int | None
    strike_us: int | None
    finish_us: int
    by: By
    is_practice: bool
    confidence: float


@dataclass(frozen=True)
class _Heard:
    """A candidate and the onset that may be its strike."""

    candidate: Candidate
    onset: int | None = None
    rise_db: float = 0.0
    level_db: float = 0.0
    apart_s: float = 0.0
    usual_s: float = 0.0

    @property
    def evidence(self) -> float:
        if self.onset is None:
            return self.candidate.evidence
        return self.candidate.evidence + self.support

    @property
    def support(self) -> float:
        """Log odds that the onset is the strike of this swing: how clear, how near in time."""
        clear = min(_CLEAR * (self.rise_db - LEAST_RISE_DB) + 0.5, _MOST_CLEAR)
        return clear - min(0.5 * ((self.apart_s - self.usual_s) / _SEEN_WITHIN_S) ** 2, _MOVED)


def find(motion: Motion, sound: Sound | None, *, rate: float = 1.0) -> list[FoundSwing]:
    """The swings of a clip in order of time.

    motion: what `media_tools.motion.read` gives. sound: what `media_tools.sound.read` gives, on
    the same clock; None for a silent clip: then motion alone decides, and each swing says so.
    rate: played time to real time, 8 for 240 frames a second stored as 30; the sound of a
    stretched clip is not used. Raises ValueError for a rate that is not above 0.
    """
    if rate <= 0:
        raise ValueError(f"a rate is above 0, not {rate}")
    if rate >= STRETCHED:
        sound = None
    found = _well_placed(candidates(motion, rate))
    rises = onsets(sound, LEAST_RISE_DB) if sound is not None else None
    zero_us = int(motion.times_us[0]) if len(motion.times_us) else 0
    heard = [_Heard(c) for c in found]
    if rises is not None:
        heard = _listen(found, rises, zero_us)
    chosen = _apart([h for h in heard if h.evidence > 0])
    level = _own_level(chosen)
    if sound is not None:
        # a strike that should be heard and is not speaks against a swing, but not for long
        chosen = [
            h
            for h in chosen
            if h.onset is not None
            or h.evidence > _SURE
            or not _would_be_heard(sound, h.candidate.strike_s, zero_us, level)
        ]
    edit_s = _edited([h.apart_s for h in chosen if h.onset is not None])
    return [_swing(h, rises, sound, level, edit_s, zero_us, rate) for h in chosen]


def _listen(found: list[Candidate], rises: Onsets, zero_us: int) -> list[_Heard]:
    """Give each candidate the onset that fits it best, if one does."""
    times_s = (rises.times_us - zero_us) / 1e6

    def pair(c: Candidate, middle_s: float, window_s: float, least_level: float) -> _Heard:
        apart = times_s - c.strike_s - middle_s
        near = np.flatnonzero((np.abs(apart) <= window_s) & (rises.level_db >= least_level))
        if not len(near):
            return _Heard(c)
        # a nearer one is likelier, but a louder one more so
        worth = rises.rise_db[near] - 40 * np.abs(apart[near])
        k = int(near[int(worth.argmax())])
        return _Heard(
            *(c, k, float(rises.rise_db[k]), float(rises.level_db[k])),
            apart_s=float(times_s[k] - c.strike_s),
            usual_s=middle_s,
        )

    first = [pair(c, LATE_S, WINDOW_S, -np.inf) for c in found]
    likeliest = _apart([h for h in first if h.evidence > _SURE])
    sure = [h for h in likeliest if h.onset is not None and h.rise_db > SURE_RISE_DB]
    if not sure:
        return first
    middle = float(np.median([h.apart_s for h in sure]))
    least = max(h.level_db for h in sure) - QUIETER_DB
    return [pair(c, middle, NARROW_S if len(sure) > 1 else WINDOW_S, least) for c in found]


def _overlap(one: Candidate, other: Candidate) -> bool:
    return one.top_s <= other.finish_s and other.top_s <= one.finish_s


def _well_placed(found: list[Candidate]) -> list[Candidate]:
    """Where motion is sure when a swing is, no sound may move it to a worse place."""
    sure = [c for c in found if c.evidence > _SURE]
    return [
        c
        for c in found
        if not any(s.evidence > c.evidence + _SURE and _overlap(s, c) for s in sure)
    ]


def _apart(heard: list[_Heard]) -> list[_Heard]:
    """The likeliest of those that overlap, in order of time."""
    chosen: list[_Heard] = []
    for one in sorted(heard, key=lambda h: -h.evidence):
        if not any(
            _overlap(one.candidate, other.candidate)
            or (one.onset is not None and one.onset == other.onset)
            for other in chosen
        ):
            chosen.append(one)
    return sorted(chosen, key=lambda h: h.candidate.strike_s)


def _edited(apart_s: list[float]) -> float:
    """How far an edit moved the sound behind the picture, in seconds; 0 where none is likely."""
    if not apart_s:
        return 0.0
    moved = float(np.median(apart_s)) - LATE_S
    return moved if abs(moved) > (EDITED_S if len(apart_s) > 1 else 1.5 * EDITED_S) else 0.0


def _own_level(heard: list[_Heard]) -> float | None:
    levels = [h.level_db for h in heard if h.onset is not None]
    return float(np.median(levels)) if levels else None


def _swing(
    heard: _Heard,
    rises: Onsets | None,
    sound: Sound | None,
    level: float | None,
    edit_s: float,
    zero_us: int,
    rate: float,
) -> FoundSwing:
    c = heard.candidate

    def played_us(real_s: float) -> int:
        return zero_us + round(real_s * rate * 1e6)

    by: By = "motion"
    practice = False
    strike: int | None = played_us(c.strike_s)
    if heard.onset is not None and rises is not None:
        by = "sound and motion"
        strike = int(rises.times_us[heard.onset]) - round((LATE_S + edit_s) * 1e6)
    elif sound is not None and _would_be_heard(sound, c.strike_s, zero_us, level):
        practice, strike = True, None
    return FoundSwing(
        begin_us=played_us(c.begin_s),
        top_us=played_us(c.top_s),
        strike_us=strike,
        finish_us=played_us(c.finish_s),
        by=by,
        is_practice=practice,
        confidence=round(float(1 / (1 + np.exp(-heard.evidence))), 3),
    )


def _would_be_heard(sound: Sound, strike_s: float, zero_us: int, level: float | None) -> bool:
    """Whether a strike at that moment would stand out from what is heard there."""
    row = round((zero_us - sound.start_us) / 1000 + strike_s * 1000)
    around = sound.level_db[max(row - 100, 0) : max(row + 100, 0)]
    if not len(around):
        return False
    loud = float(np.percentile(around, 75, axis=0).mean())
    return (USUAL_STRIKE_DB if level is None else level) - loud > CLEARLY_DB
