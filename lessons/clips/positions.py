"""The positions of a swing: what the coach placed, what was found, and guesses between."""

from __future__ import annotations

from dataclasses import dataclass

from lessons.clips.models import Position, Swing
from media_tools.swings import Origin, proposed

SOURCES = {
    Origin.FOUND: "from the swing",
    Origin.PLACED: "confirmed",
    Origin.USUAL: "a guess: where it usually falls",
    Origin.BETWEEN: "a guess: between its neighbours",
}


@dataclass(frozen=True, slots=True)
class SwingPosition:
    """One position of one swing.

    time_us: on the clip's clock; a guess may lie between two frames. is_guess: neither found nor
    placed, no more than the usual proportion. is_placed: the coach confirmed or dragged it.
    source: where the time comes from, in words for a page.
    """

    position: str
    time_us: int
    is_guess: bool
    is_placed: bool
    source: str

    @property
    def label(self) -> str:
        """Its name in the trade's words, like 'top'."""
        return Position(self.position).label.partition(" ")[2]


def positions_of(swing: Swing) -> list[SwingPosition]:
    """The positions of a swing that can be said, in order from P1 to P10.

    Placed ones win, and the guesses lie between them as usual. Without a top or a strike (a
    practice swing, one added by hand) what can be placed is, and the rest is left out. Reads
    `swing.placed`, which may be prefetched.
    """
    placed = {row.position: row.time_us for row in swing.placed.all()}
    begin, finish = placed.get("P1", swing.begin_us), placed.get("P10", swing.finish_us)
    top = _within(placed.get("P4", swing.top_us), begin, finish)
    strike = _within(placed.get("P7", swing.strike_us), begin if top is None else top, finish)
    return [
        SwingPosition(
            name,
            found.time_us,
            found.is_guess,
            found.origin == Origin.PLACED,
            SOURCES[found.origin],
        )
        for name, found in proposed(begin, top, strike, finish, placed).items()
    ]


def _within(time_us: int | None, after_us: int, before_us: int) -> int | None:
    """A found moment that is out of order is no help in guessing the others."""
    return time_us if time_us is not None and after_us < time_us < before_us else None
