"""The outside measure for strikes: librosa's onset detector, at its best threshold.

librosa's onset strength is spectral flux on a mel scale; its peak picking is used as it comes.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

with warnings.catch_warnings():  # of libraries below it that are older than this Python
    warnings.simplefilter("ignore")
    import librosa

HOP = 512


@dataclass
class Rival:
    """Onsets that librosa finds in one sound, how strong each is, and the true strikes."""

    times_s: NDArray[np.float64]
    strengths: NDArray[np.float64]
    strikes_s: list[float]


def rival_onsets(samples: NDArray[np.float32], rate_hz: int, strikes_s: list[float]) -> Rival:
    """`strikes_s`: when the microphone hears them, so no way of the sound counts against it."""
    strength = librosa.onset.onset_strength(y=samples, sr=rate_hz, hop_length=HOP)
    at = librosa.onset.onset_detect(onset_envelope=strength, sr=rate_hz, hop_length=HOP)
    times = librosa.frames_to_time(at, sr=rate_hz, hop_length=HOP)
    return Rival(np.asarray(times), np.asarray(strength[at] / strength.max()), strikes_s)


def onset_figures(rivals: list[Rival], within_s: float) -> tuple[float, float]:
    """Precision and recall at the threshold with the greatest harmonic mean of the two."""
    best = (-1.0, 0.0, 0.0)
    for threshold in np.linspace(0, 1, 41):
        right = found = true = 0
        for rival in rivals:
            kept = rival.times_s[rival.strengths >= threshold]
            found, true = found + len(kept), true + len(rival.strikes_s)
            right += sum(bool(np.any(np.abs(kept - s) <= within_s)) for s in rival.strikes_s)
        if found and true and right:
            precision, recall = min(right / found, 1.0), right / true
            best = max(best, (2 * precision * recall / (precision + recall), precision, recall))
    return best[1], best[2]
