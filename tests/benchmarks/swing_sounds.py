"""Sounds for the benchmark of swing finding: strikes in a bay's noise, speech, wind and more.

`peak_to_rms_db` is the strike's peak against the root mean square of all steady noise together.
Neighbours' strikes and clanks come on top, as single events.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from media_tools.mannequin.sound import RATE, SPEED_OF_SOUND, transient

Samples = NDArray[np.float64]


def shaped(samples: Samples, low_hz: float, high_hz: float, tilt: float) -> Samples:
    """A band of the samples, amplitude falling with frequency to the power `tilt`; RMS 1."""
    spectrum = np.fft.rfft(samples)
    hz = np.fft.rfftfreq(len(samples), 1 / RATE)
    spectrum *= np.where((hz >= low_hz) & (hz <= high_hz), np.maximum(hz, 20.0) ** -tilt, 0)
    result = np.fft.irfft(spectrum, n=len(samples))
    return result / np.sqrt(np.mean(result**2))


def _course(dice: np.random.Generator, count: int, every_s: float, spread: float) -> Samples:
    """A random loudness that changes slowly, above 0."""
    knots = max(int(count / RATE / every_s) + 2, 3)
    values = np.exp(spread * dice.standard_normal(knots))
    return np.interp(np.linspace(0, knots - 1, count), np.arange(knots), values)


def speech(dice: np.random.Generator, count: int) -> Samples:
    """Syllables four a second with pauses: a buzz in formants, hisses and plosives between."""
    out = np.zeros(count)
    at = int(dice.uniform(0, 2) * RATE)
    while at < count:
        long = int(dice.uniform(0.1, 0.28) * RATE)
        time = np.arange(long) / RATE
        pitch = dice.uniform(90, 220) * (1 + 0.1 * np.sin(2 * np.pi * 3 * time))
        phase = 2 * np.pi * np.cumsum(pitch) / RATE
        voice = sum(
            np.sin(n * phase) * np.exp(-(((n * 150 - f) / 250) ** 2)) * a
            for n in range(1, 30)
            for f, a in ((500, 1.0), (1500, 0.4), (2500, 0.25))
        )
        rise = np.minimum(1, time / 0.015) * np.minimum(1, (time[-1] - time) / 0.04)
        syllable = voice * rise
        kind = dice.random()
        if kind < 0.3:  # s, sh
            hiss = shaped(dice.standard_normal(long), dice.uniform(2500, 5000), 12_000, 0.2)
            syllable = 0.35 * hiss * np.sin(np.pi * time / time[-1])
        elif kind < 0.55:  # t, k, p
            burst = shaped(dice.standard_normal(long), 1500, 9000, 0.4)
            syllable = syllable + 0.6 * burst * np.exp(-time / 0.012) * np.minimum(1, time / 0.003)
        piece = syllable[: count - at]
        out[at : at + len(piece)] += piece * dice.uniform(0.4, 1.0)
        pause = dice.uniform(0.01, 0.1) if dice.random() < 0.85 else dice.uniform(0.5, 2.5)
        at += long + int(pause * RATE)
    return out


def clank(dice: np.random.Generator) -> Samples:
    """Clubs knocking in a bag: a few high tones that ring on for a tenth of a second."""
    time = np.arange(int(0.25 * RATE)) / RATE
    tones = sum(
        np.sin(2 * np.pi * dice.uniform(1800, 9000) * time + dice.uniform(0, 6)) for _ in range(5)
    )
    ring = tones * np.exp(-time / dice.uniform(0.03, 0.08))
    return ring / np.abs(ring).max()


class BaySound:
    """All that is heard in a clip but the level of its noise; `mixed` sets that.

    struck_s: when the microphone hears the clip's own strikes.
    """

    def __init__(self, dice: np.random.Generator, length_s: float, struck_s: list[float]) -> None:
        count = int(np.ceil(length_s)) * RATE  # whole seconds: lengths that transform fast
        self.kind = str(dice.choice(["bay", "wind", "speech"]))
        wind = shaped(dice.standard_normal(count), 20, 900, 1.0)
        hiss = shaped(dice.standard_normal(count), 20, 20_000, 0.5) * _course(dice, count, 3, 0.15)
        if self.kind == "wind":
            wind = wind * _course(dice, count, 0.4, 0.7) * 2
        noise = wind + hiss
        if self.kind == "speech":
            talk = speech(dice, count)
            noise = noise * 0.5 + talk / np.sqrt(np.mean(talk**2))
        self.noise = noise / np.sqrt(np.mean(noise**2))
        self.peak = dice.uniform(0.3, 0.9)
        self.events = np.zeros(count)
        for _ in range(int(dice.poisson(0.35 * length_s))):
            quieter = dice.uniform(13, 24) if dice.random() < 0.85 else dice.uniform(8, 13)
            self._add(transient(dice, 900.0) * 10 ** (-quieter / 20), dice.uniform(0, length_s))
        for _ in range(int(dice.poisson(0.06 * length_s))):
            self._add(clank(dice) * 10 ** (-dice.uniform(3, 15) / 20), dice.uniform(0, length_s))
        for when in struck_s:
            self._add(transient(dice) * 10 ** (-dice.uniform(0, 3) / 20), when)

    def _add(self, extra: Samples, when_s: float) -> None:
        first = round(when_s * RATE)
        if 0 <= first < len(self.events):
            piece = extra[: len(self.events) - first]
            self.events[first : first + len(piece)] += piece

    def mixed(self, peak_to_rms_db: float) -> NDArray[np.float32]:
        """The samples at 48 kHz, -1 to 1, rounded to 16 bits as a phone stores them."""
        whole = self.peak * (self.events + self.noise / 10 ** (peak_to_rms_db / 20))
        return (np.round(np.clip(whole, -1, 1) * 32767) / 32768).astype(np.float32)


def heard_s(strike_us: int, distance_m: float, shifted_s: float = 0.0) -> float:
    """When a strike is heard; `shifted_s` where an edit moved sound against picture."""
    return strike_us / 1e6 + distance_m / SPEED_OF_SOUND + shifted_s
