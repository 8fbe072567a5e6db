"""The sound of a clip in four bands of pitch, every millisecond, and where it rises sharply.

A club meeting a ball is heard in all bands at once and is gone after some 40 ms. Speech, wind
and doors are not like that, or not in all bands: one band alone is deceived by noise. Bands,
times and the rule of three bands were measured on synthetic footage. Knows nothing of pictures.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from av.container import InputContainer

from media_tools.reading import opened
from media_tools.source import Source, look
from media_tools.times import ticks_to_us

RATE_HZ = 48_000
STEP_US = 1_000
BANDS_HZ = ((1_500, 3_000), (3_000, 6_000), (6_000, 11_000), (11_000, 20_000))
SILENT_DB = -100.0
UNHEARD_DB = -85.0  # a band that never gets louder carries nothing (a codec may cut it off)
FEWEST_BANDS = 2

_HOP = RATE_HZ * STEP_US // 1_000_000
_WINDOW = 2 * _HOP
_BATCH_S = 10
_GAP = RATE_HZ // 50  # of samples: shorter ones are rounding

_BEFORE_MS, _ATTACK_MS = 25, 4
_FALLEN_MS = (30, 50)
_FALL_DB = 5.0
_APART_MS = 40
_MOST_DB = 12.0  # one band alone can't make up for all others
_TOGETHER_DB = 3.0

Samples = npt.NDArray[np.float32]
Levels = npt.NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Sound:
    """How loud a clip is in each band.

    level_db: float32 (milliseconds, bands), mean power in a window of 2 ms against full scale.
    start_us: when row 0 is, in rendition time (from the source's first frame); it may be
        negative. Row k is `STEP_US` * k later.
    bands_hz: the bands that this recording carries, of `BANDS_HZ`.
    """

    start_us: int
    level_db: Levels = field(repr=False)
    bands_hz: tuple[tuple[int, int], ...] = BANDS_HZ


@dataclass(frozen=True, eq=False)
class Onsets:
    """Sharp rises in most bands at once, in order of time.

    times_us: int64, in rendition time.
    rise_db: float32, how far the bands rose over their last 25 ms: the sum of all, each counted
        up to 12 dB, by three (by two where there are only two).
    level_db: float32, the loudness reached, mean over the bands.
    """

    times_us: npt.NDArray[np.int64] = field(repr=False)
    rise_db: npt.NDArray[np.float32] = field(repr=False)
    level_db: npt.NDArray[np.float32] = field(repr=False)


def read(path: Path | str, source: Source | None = None) -> Sound | None:
    """The sound of a video; None where it has none that can be used.

    That is: no track, one that can't be decoded, silence, or a recording of so low a pitch that
    fewer than two bands are left. `source` is what `look` found, so that it need not look again.
    Streams: memory grows by 16 bytes a millisecond. Raises what `look` raises.
    """
    path = Path(path)
    source = source or look(path)
    if not source.has_audio:
        return None
    with opened(path, source.container) as container:
        stream = next(s for s in container.streams.audio if s.index == source.audio_index)
        rate_hz = stream.codec_context.sample_rate
        begin: list[int] = []
        level = measure(_samples(container, stream, source, begin))
    if not begin:
        return None
    return usable(Sound(begin[0], level), rate_hz)


def usable(sound: Sound, rate_hz: int) -> Sound | None:
    """The sound in the bands that a recording of that many samples a second can carry."""
    if not len(sound.level_db):
        return None
    loudest = sound.level_db.max(axis=0)
    kept = [
        k
        for k, (low, _) in enumerate(BANDS_HZ)
        if rate_hz * 0.45 >= low * 1.25 and loudest[k] > UNHEARD_DB
    ]
    if len(kept) < FEWEST_BANDS:
        return None
    return Sound(sound.start_us, sound.level_db[:, kept], tuple(BANDS_HZ[k] for k in kept))


def _samples(
    container: InputContainer, stream: AudioStream, source: Source, begin: list[int]
) -> Iterator[Samples]:
    """Mono samples at 48 kHz without holes; the first one's time is put into `begin`."""
    resampler = AudioResampler(format="fltp", layout="mono", rate=RATE_HZ)
    written = 0
    most = (source.duration_us + 2_000_000) * RATE_HZ // 1_000_000
    for packet in container.demux(stream):
        try:
            frames = stream.codec_context.decode(packet)
        except av.FFmpegError:
            continue  # the sound around a damaged packet is good
        for frame in frames:
            if frame.pts is None or frame.time_base is None:
                continue
            at_us = ticks_to_us(frame.pts, frame.time_base) - source.start_us
            if not begin:
                begin.append(at_us)
            hole = (at_us - begin[0]) * RATE_HZ // 1_000_000 - written
            if hole > _GAP and written + hole <= most:
                yield np.zeros(hole, np.float32)
                written += hole
            frame.pts = None
            for piece in resampler.resample(frame):
                samples = piece.to_ndarray()[0]
                yield samples
                written += len(samples)
            if written > most:
                return


def measure(pieces: Iterable[Samples]) -> Levels:
    """`Sound.level_db` of mono samples at 48 kHz, -1 to 1, given in pieces of any length."""
    levels: list[Levels] = []
    waiting: list[Samples] = []
    count = 0
    for piece in pieces:
        waiting.append(piece)
        count += len(piece)
        if count >= _BATCH_S * RATE_HZ:
            level, rest = _levels(np.concatenate(waiting))
            levels.append(level)
            waiting, count = [rest], len(rest)
    if waiting:
        levels.append(_levels(np.concatenate(waiting))[0])
    return np.concatenate(levels) if levels else np.zeros((0, len(BANDS_HZ)), np.float32)


_SHAPE = np.hanning(_WINDOW + 2)[1:-1].astype(np.float32)
_HZ = np.fft.rfftfreq(_WINDOW, 1 / RATE_HZ)
_IN_BAND = np.array([(low <= _HZ) & (high > _HZ) for low, high in BANDS_HZ], dtype=np.float32).T
_FULL = float((_SHAPE**2).sum()) * _WINDOW / 2


def _levels(samples: Samples) -> tuple[Levels, Samples]:
    """Levels of all whole windows, and the samples that later ones still need."""
    count = (len(samples) - _WINDOW) // _HOP + 1
    if count < 1:
        return np.zeros((0, len(BANDS_HZ)), np.float32), samples
    windows = np.lib.stride_tricks.sliding_window_view(samples, _WINDOW)[::_HOP][:count]
    spectrum = np.fft.rfft(windows * _SHAPE, axis=1)
    power = (np.square(spectrum.real) + np.square(spectrum.imag)) @ _IN_BAND / _FULL
    level = 10 * np.log10(np.maximum(power, 10 ** (SILENT_DB / 10)))
    return level.astype(np.float32), samples[count * _HOP :]


def onsets(sound: Sound, least_db: float) -> Onsets:
    """Where the bands rise together by at least `least_db` within 4 ms, and fall again.

    A rise counts from the loudest of the 25 ms before, and only in bands that have fallen 5 dB
    some 30 to 50 ms later; at least two must rise by 3 dB. Speech hides a strike in the low bands
    and wind in none of them, so what a band lacks another may make up for.
    """
    level = sound.level_db
    count = len(level)
    if count < _BEFORE_MS + _FALLEN_MS[1] + _ATTACK_MS:
        return Onsets(np.zeros(0, np.int64), np.zeros(0, np.float32), np.zeros(0, np.float32))
    # row i of each: the moment i + _BEFORE_MS
    span = count - _BEFORE_MS - _FALLEN_MS[1]
    before = _highest(level, _BEFORE_MS)[:span]
    peak = _highest(level[_BEFORE_MS:], _ATTACK_MS)[:span]
    late = level[_BEFORE_MS + _FALLEN_MS[0] :]
    after = _mean(late, _FALLEN_MS[1] - _FALLEN_MS[0])[:span]
    rise = np.clip(peak - before, 0, _MOST_DB)
    rise[peak - after < _FALL_DB] = 0.0
    bands = rise.shape[1]
    together = np.partition(rise, bands - 2, axis=1)[:, bands - 2]  # the second highest
    strength = rise.sum(axis=1) / min(3, bands)
    strength[together < _TOGETHER_DB] = 0.0
    found = np.flatnonzero(strength >= least_db)
    chosen: list[int] = []
    for group in np.split(found, np.flatnonzero(np.diff(found) > _APART_MS) + 1):
        if len(group):
            best = group[strength[group] >= strength[group].max() - 1.0]
            chosen.append(int(best[-1]))  # the last moment before which all was quiet
    rows = np.array(chosen, dtype=np.int64)
    # a window of 2 ms first hears a sound that begins in its last part
    times = sound.start_us + (rows + _BEFORE_MS) * STEP_US + STEP_US
    return Onsets(times, strength[rows].astype(np.float32), peak[rows].mean(axis=1))


def _highest(level: Levels, span: int) -> Levels:
    """Row k: the highest of rows k to k + span - 1."""
    result: Levels = np.lib.stride_tricks.sliding_window_view(level, span, axis=0).max(axis=2)
    return result


def _mean(level: Levels, span: int) -> Levels:
    total = np.cumsum(level, axis=0, dtype=np.float64)
    total = np.concatenate([np.zeros((1, level.shape[1])), total])
    result: Levels = ((total[span:] - total[:-span]) / span).astype(np.float32)
    return result
