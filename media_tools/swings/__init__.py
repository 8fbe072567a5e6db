"""Finds golf swings in a clip: begin, top and finish in the picture, the strike in the sound.

`find` takes what `media_tools.motion.read` and `media_tools.sound.read` give and returns the
swings; `tempo` says how a swing's backswing and downswing compare; `proposed` says where its ten
positions are likely to be.
"""

from __future__ import annotations

from media_tools.swings.finding import STRETCHED, FoundSwing, find
from media_tools.swings.positions import POSITIONS, Origin, Proposal, proposed
from media_tools.swings.tempo import Tempo, tempo

__all__ = [
    "POSITIONS",
    "STRETCHED",
    "FoundSwing",
    "Origin",
    "Proposal",
    "Tempo",
    "find",
    "proposed",
    "tempo",
]
