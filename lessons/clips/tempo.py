"""How long a swing takes going back and coming down, in real time."""

from __future__ import annotations

from lessons.clips.models import Swing
from media_tools import swings
from media_tools.swings import Tempo

# From begin to strike; twice what the slow ones of GolfDB's labelled real-time swings take
# (backswing 37 and downswing 9 frames at 30 a second, 90th percentiles, McNally et al. 2019)
SLOW_S = 3.0


def tempo_of(swing: Swing, slowdown: float = 1.0) -> Tempo | None:
    """A swing's tempo, each figure with its plus-or-minus; None without top and strike."""
    if not swing.frame_us:
        return None
    return swings.tempo(swing, swing.frame_us, rate=slowdown)


def looks_slow(tempo: Tempo | None) -> bool:
    """Whether it may be slow motion that is taken for real time."""
    return tempo is not None and tempo.backswing_s + tempo.downswing_s > SLOW_S
