"""The bay's sound: wind and traffic, neighbours' strikes, and the strike itself."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from media_tools.mannequin.params import Film

RATE = 48_000
SPEED_OF_SOUND = 343.0  # m/s in air at 20 C
STRIKE_PEAK = 0.7  # of full scale
STRIKE_LOW_HZ, STRIKE_HIGH_HZ = 1_500.0, 20_000.0
STRIKE_FALL_S = 0.009  # to 1/e: 40 ms later the strike is 39 dB down
NEIGHBOUR_CLEAR_S = 0.35  # neighbours keep this far from the film's own strikes

Samples = NDArray[np.float64]


def _shaped(samples: Samples, low_hz: float, high_hz: float, tilt: float = 0.0) -> Samples:
    """Keeps a band, with the spectrum's amplitude falling as frequency to the power `tilt`."""
    spectrum = np.fft.rfft(samples)
    hz = np.fft.rfftfreq(len(samples), 1 / RATE)
    gain = np.where((hz >= low_hz) & (hz <= high_hz), np.maximum(hz, 20.0) ** -tilt, 0.0)
    return np.fft.irfft(spectrum * gain, n=len(samples))


def transient(lot: np.random.Generator, low_hz: float = STRIKE_LOW_HZ) -> Samples:
    """One strike of peak 1.0: broadband noise that is full at once and dies away in 40 ms."""
    count = int(0.08 * RATE)
    body = _shaped(lot.standard_normal(count + 2048), low_hz, STRIKE_HIGH_HZ)[1024 : 1024 + count]
    body /= np.sqrt(np.mean(body**2))
    time = np.arange(count) / RATE
    body *= np.exp(-time / STRIKE_FALL_S)
    crack = np.zeros(count)
    crack[:12] = np.array([1.0, -0.8, 0.9, -0.6, 0.5, -0.5, 0.3, -0.3, 0.2, -0.1, 0.1, 0.0]) * 2.5
    body += crack
    result: Samples = body / np.abs(body).max()
    return result


def heard_us(film: Film, strike_us: int) -> int:
    """When the microphone hears a strike."""
    return strike_us + round(1e6 * film.mic_distance_m / SPEED_OF_SOUND)


def bay_sound(
    film: Film, length_s: float, heard: list[int]
) -> tuple[NDArray[np.int16], tuple[int, ...]]:
    """The whole sound at 48 kHz, and when neighbours strike in it, in microseconds.

    heard: the times in microseconds at which the film's own strikes are heard.
    """
    lot = np.random.default_rng([film.seed, 11])
    count = max(round(length_s * RATE), 1)
    padded = count + RATE
    wind = _shaped(lot.standard_normal(padded), 20, 900, 1.0)[:count]
    hiss = _shaped(lot.standard_normal(padded), 20, 20_000, 0.5)[:count]
    gust = 1 + 0.35 * np.sin(2 * np.pi * np.arange(count) / RATE * 0.23 + lot.uniform(0, 6.28))
    noise = wind / np.sqrt(np.mean(wind**2)) * gust + hiss / np.sqrt(np.mean(hiss**2))
    noise *= STRIKE_PEAK / 10 ** (film.peak_to_rms_db / 20) / np.sqrt(np.mean(noise**2))
    neighbours: list[int] = []
    if film.neighbours:
        for _ in range(int(lot.poisson(0.45 * length_s))):
            when, level = lot.uniform(0, length_s), 10 ** (-lot.uniform(13, 24) / 20)
            strike = transient(lot, 900.0)
            near = any(abs(when - own / 1e6) < NEIGHBOUR_CLEAR_S for own in heard)
            if not near:
                _add(noise, strike * STRIKE_PEAK * level, when)
                neighbours.append(round(when * 1e6))
    for own in heard:
        _add(noise, transient(lot) * STRIKE_PEAK, own / 1e6)
    samples = (np.clip(noise, -1, 1) * 32767).astype(np.int16)
    return samples, tuple(sorted(neighbours))


def _add(samples: Samples, extra: Samples, when_s: float) -> None:
    first = round(when_s * RATE)
    if 0 <= first < len(samples):
        piece = extra[: len(samples) - first]
        samples[first : first + len(piece)] += piece
