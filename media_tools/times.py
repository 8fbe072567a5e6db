"""When each frame is shown: the table of a video's frame times, and looking things up in it.

A time is an integer count of microseconds of the video's own clock. The table comes from every
packet, without decoding: the rates that a file states mislead where the rate varies.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from fractions import Fraction

import av
import numpy as np
import numpy.typing as npt
from av.container import InputContainer
from av.stream import Discard
from av.video.stream import VideoStream

from media_tools.errors import TimedOut, TooLong, Unreadable
from media_tools.reading import AGAIN, Limits

Times = npt.NDArray[np.int64]

CHECK_EVERY = 1024  # frames, between two looks at the clock
_LATEST_US = 10**15  # of a clock: thirty years; beyond it a time stamp is damage


def frame_at(times_us: Times, t_us: int) -> int:
    """The index of the frame shown at `t_us`: the last whose time is at most that.

    Before the first frame it is the first, index 0.
    """
    return max(0, int(np.searchsorted(times_us, t_us, side="right")) - 1)


def middle_us(times_us: Times, index: int) -> int:
    """The middle of the interval in which frame `index` is shown: where a player should seek.

    The last frame is taken to last as long as the one before (a single one: 2 us).
    """
    begin = int(times_us[index])
    if index + 1 < len(times_us):
        return begin + (int(times_us[index + 1]) - begin) // 2
    return begin + (begin - int(times_us[index - 1])) // 2 if index else begin + 1


def ticks_to_us(ticks: int, time_base: Fraction) -> int:
    """The nearest microsecond."""
    num, den = time_base.numerator * 1_000_000, time_base.denominator
    return (2 * ticks * num + den) // (2 * den)


@dataclass(frozen=True)
class Table:
    times_us: Times
    key_times_us: Times
    last_us: int  # how long the last frame is shown
    broke_off: bool

    @property
    def duration_us(self) -> int:
        return int(self.times_us[-1] - self.times_us[0]) + self.last_us

    @property
    def rate_hz(self) -> float:
        if len(self.times_us) < 2:
            return 0.0
        return 1e6 / max(1.0, float(np.median(np.diff(self.times_us))))


def read_table(container: InputContainer, stream: VideoStream, limits: Limits) -> Table:
    """The time of every frame, by reading packets without decoding any."""
    time_base = Fraction(stream.time_base or Fraction(1, 1_000_000))
    for other in container.streams:
        if other.index != stream.index:
            other.discard = Discard.all
    times: dict[int, bool] = {}
    lengths: dict[int, int] = {}
    first = last = None
    broke_off = False
    deadline = time.monotonic() + limits.look_s
    packets = container.demux(stream)
    while True:
        try:
            packet = next(packets)
        except StopIteration:
            break
        except av.FFmpegError:
            if not times:
                raise
            broke_off = True  # what came before can be shown
            break
        stamp = packet.pts if packet.pts is not None else packet.dts
        if stamp is None or not packet.size or packet.is_discard:
            continue
        t_us = ticks_to_us(stamp, time_base)
        if abs(t_us) > _LATEST_US:
            continue
        times[t_us] = packet.is_keyframe or times.get(t_us, False)
        lengths[t_us] = ticks_to_us(packet.duration or 0, time_base)
        first = t_us if first is None else min(first, t_us)
        last = t_us if last is None else max(last, t_us)
        _check_length(last - first, len(times), limits)
        if len(times) % CHECK_EVERY == 0 and time.monotonic() > deadline:
            raise TimedOut("Reading this video took too long. Try again later.", "reading times")
    if not times:
        raise Unreadable(f"There is not one complete frame in this video. {AGAIN}", "no packets")
    table = np.array(sorted(times), dtype=np.int64)
    keys = np.array(sorted(t for t, is_key in times.items() if is_key), dtype=np.int64)
    usual = int(np.median(np.diff(table))) if len(table) > 1 else 33_333
    length = lengths[int(table[-1])]
    return Table(table, keys, length if 0 < length < 10 * usual else usual, broke_off)


def _check_length(span_us: int, frames: int, limits: Limits) -> None:
    if span_us <= limits.duration_us and frames <= limits.frames:
        return
    minutes = limits.duration_us / 60_000_000
    raise TooLong(
        f"This video is longer than {minutes:g} minutes, the most that can be taken. Trim it to "
        "the swings that matter, then upload it again."
        if span_us > limits.duration_us
        else f"This video has more than {limits.frames:,} frames, the most that can be taken. "
        "Trim it, then upload it again.",
        f"over {span_us} us, {frames} frames",
    )
