"""The swings of a pairing as a page shows them and a worker composes them."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from lessons.clips import cuts
from lessons.clips.alike import numbered
from lessons.clips.models import Clip, Still
from lessons.clips.positions import SwingPosition, positions_of
from lessons.marks.service import SIGHT
from lessons.pairings.models import Pairing, PairingSide
from lessons.pairings.offering import short_origin

AROUND_US = 300_000  # of real time, shown before a swing's begin and after its finish


@dataclass
class Side:
    """One swing of a pairing, with all that is known of its positions."""

    row: PairingSide
    at: str
    positions: list[SwingPosition] = field(default_factory=list)
    # Where it comes from, so that it differs from the others'
    origin: str = ""

    @property
    def clip(self) -> Clip:
        return self.row.clip

    @property
    def times(self) -> dict[str, int]:
        """When each known position is, on the clip's clock."""
        return {position.position: position.time_us for position in self.positions}

    @property
    def found_us(self) -> int:
        """Where it is lined up unless by hand; without the position, in its middle."""
        begin, finish = self.span_us
        return self.times.get(self.at, (begin + finish) // 2)

    @property
    def aligned_us(self) -> int:
        return self.found_us if self.row.aligned_us is None else self.row.aligned_us

    @property
    def lacks_position(self) -> bool:
        """Nobody knows where the position is at which it should be lined up."""
        return self.at not in self.times and self.row.aligned_us is None

    @property
    def span_us(self) -> tuple[int, int]:
        """From the swing's begin to its finish; the whole clip without one."""
        swing = self.row.swing
        return (swing.begin_us, swing.finish_us) if swing else (0, self.clip.duration_us)

    @property
    def caption(self) -> str:
        return self.row.caption or self.origin

    @cached_property
    def stills(self) -> list[Still]:
        """The clip's stills within the swing on which something is drawn."""
        around = round(AROUND_US * self.clip.slowdown)
        begin, finish = self.span_us
        found = self.clip.stills.current().ready().exclude(mark_set__isnull=True)
        found = found.exclude(mark_set__marks=[]).select_related(*SIGHT)
        return list(found.filter(time_us__gte=max(0, begin - around), time_us__lte=finish + around))


def sides_of(pairing: Pairing) -> list[Side]:
    """The swings of a pairing in order, without those whose clip was removed."""
    rows = pairing.sides.filter(clip__removed_at__isnull=True)
    rows = rows.select_related("clip__lesson", "swing").prefetch_related("swing__placed")
    found = []
    for row in rows:
        swing = row.swing if row.swing and not row.swing.removed_at else None
        row.swing = swing
        found.append(Side(row, pairing.at, positions_of(swing) if swing else []))
    _tell_apart(found)
    return found


def _tell_apart(sides: list[Side]) -> None:
    """Say of each where it comes from: those alike are numbered, other years are named."""
    days = [
        clip.lesson.date if clip.lesson else clip.created_at for clip in (s.clip for s in sides)
    ]
    with_year = len({day.year for day in days}) > 1
    plain = [short_origin(side.clip, with_year=with_year) for side in sides]
    for side, number in zip(sides, numbered(plain), strict=True):
        side.origin = short_origin(side.clip, number, with_year=with_year)


def want_cuts(sides: list[Side]) -> None:
    """Ask for every frame around where each swing is lined up, as far as it is not there."""
    for side in sides:
        cuts.cut_around(side.clip, side.aligned_us)
