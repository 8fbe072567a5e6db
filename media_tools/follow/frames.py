"""Frames to follow something through: out of a file without holding it whole, or out of memory."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

import numpy as np

from media_tools.errors import Unreadable
from media_tools.follow.pose import Grey
from media_tools.motion import luma
from media_tools.reading import AGAIN, DEFAULT_LIMITS, opened
from media_tools.times import Times, read_table, ticks_to_us

_HELD = 24  # frames in memory at once while going backwards: 50 MB at 1080p


class Frames(Protocol):
    """A moving picture in grey, (rows, columns), and when each frame is shown, microseconds."""

    @property
    def times_us(self) -> Times: ...

    def walk(self, first: int, last: int) -> Iterator[Grey]:
        """Frames `first` to `last`, both included; backwards where `last` comes before."""
        ...


@dataclass(frozen=True, eq=False)
class Held:
    """Frames in memory, all of one size."""

    times_us: Times
    pictures: Sequence[Grey] = field(repr=False)

    def walk(self, first: int, last: int) -> Iterator[Grey]:
        step = 1 if last >= first else -1
        for index in range(first, last + step, step):
            yield self.pictures[index]


@dataclass(frozen=True, eq=False)
class Part:
    """Frames `first` to `last` of others, both included, counted from 0."""

    whole: Frames = field(repr=False)
    first: int
    last: int

    @property
    def times_us(self) -> Times:
        return self.whole.times_us[self.first : self.last + 1]

    def walk(self, first: int, last: int) -> Iterator[Grey]:
        return self.whole.walk(self.first + first, self.first + last)


class Filmed:
    """The frames of an MP4 that lies upright: a cut that `media_tools.prepare.study` made.

    Not a phone's original: that may be turned, of another brightness scale, or hold no frame for
    a second and more from which to start. The cut has every frame of it at its exact time.
    """

    def __init__(self, path: Path) -> None:
        """Reads when each frame is shown; raises Unreadable or TimedOut."""
        self._path = path
        with opened(path, "mov") as container:
            table = read_table(container, container.streams.video[0], DEFAULT_LIMITS)
        self.times_us: Times = table.times_us
        self._keys = np.searchsorted(table.times_us, table.key_times_us).tolist()

    def walk(self, first: int, last: int) -> Iterator[Grey]:
        if last >= first:
            yield from self._forwards(first, last)
            return
        while first >= last:
            key = self._keys[max(0, bisect_right(self._keys, first) - 1)]
            begin = max(key, last, first - _HELD + 1)
            yield from reversed(list(self._forwards(begin, first)))
            first = begin - 1

    def _forwards(self, first: int, last: int) -> Iterator[Grey]:
        wanted = int(self.times_us[first])
        expected = first
        with opened(self._path, "mov") as container:
            stream = container.streams.video[0]
            stream.thread_type = "AUTO"
            time_base = stream.time_base
            if time_base is None:
                raise Unreadable(f"This video can't be read. {AGAIN}", "no time base")
            container.seek(int(wanted / 1e6 / time_base), stream=stream, backward=True)
            for frame in container.decode(stream):
                if frame.pts is None or ticks_to_us(frame.pts, time_base) < wanted:
                    continue
                if ticks_to_us(frame.pts, time_base) != self.times_us[expected]:
                    break
                yield luma(frame)
                expected += 1
                if expected > last:
                    return
        raise Unreadable(
            f"The picture at this moment of the video is damaged. {AGAIN}",
            f"frame {expected} of {self._path.name} is missing",
        )
