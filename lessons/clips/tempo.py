"""How long a swing takes going back and coming down."""

from __future__ import annotations

from dataclasses import dataclass

from lessons.clips.models import Swing

SLOW_S = 3.0  # from begin to strike: twice the slowest of the labelled swings in real time


@dataclass(frozen=True)
class Tempo:
    """Real seconds from begin to top and from top to strike, each true to `off_s`.

    The begin is the first motion, not address: other ways of counting give other ratios.
    """

    backswing_s: float
    downswing_s: float
    off_s: float

    @property
    def is_slow(self) -> bool:
        """Whether it looks like slow motion that is taken for real time."""
        return self.backswing_s + self.downswing_s > SLOW_S

    @property
    def ratio(self) -> float:
        """Backswing to downswing."""
        return self.backswing_s / self.downswing_s

    @property
    def lowest(self) -> float:
        """The ratio if both times are off by a frame the one way."""
        return max(0.0, self.backswing_s - self.off_s) / (self.downswing_s + self.off_s)

    @property
    def highest(self) -> float | None:
        """The ratio if both are off the other way; None where a frame is the whole downswing."""
        shortest = self.downswing_s - self.off_s
        return (self.backswing_s + self.off_s) / shortest if shortest > 0 else None


def tempo_of(swing: Swing, slowdown: float = 1.0) -> Tempo | None:
    """A swing's tempo in real time; None without top and strike."""
    if swing.top_us is None or swing.strike_us is None or swing.strike_us <= swing.top_us:
        return None
    second = 1e6 * slowdown
    return Tempo(
        (swing.top_us - swing.begin_us) / second,
        (swing.strike_us - swing.top_us) / second,
        swing.frame_us / second,
    )
