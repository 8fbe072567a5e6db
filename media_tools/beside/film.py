"""A film of swings side by side: each of its frames is composed of exact frames of each swing.

The frames come from study cuts, which hold every frame of the original at its true time.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import av
import av.error
import numpy as np
from av.container import OutputContainer
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Colorspace
from av.video.stream import VideoStream
from PIL import Image, ImageOps

from media_tools.beside.cells import Layout, compose, lay
from media_tools.beside.timeline import RATE_HZ, Shot
from media_tools.beside.warp import Warp
from media_tools.beside.windows import Window
from media_tools.errors import Stopped, ToolFailed
from media_tools.prepare.checks import FAILED, written_times
from media_tools.prepare.renditions import SLACK_US
from media_tools.reading import opened
from media_tools.source import Source, look
from media_tools.stills import picture
from media_tools.times import Times, frame_at, ticks_to_us

Over = Callable[[Image.Image, int], Image.Image]


@dataclass(frozen=True)
class Reel:
    """One swing of a film: the cut that holds it, and how it is shown.

    `offset_us`: clip time = the cut's own time + this. `times_us` is when each frame of the clip
    is shown, on the clip's clock: it decides which one is; those of a cut are rounded. `over`
    draws on a whole, mirrored frame, whose time on the clip's clock it is given.
    """

    path: Path
    offset_us: int
    times_us: Times
    warp: Warp
    window: Window
    mirrored: bool = False
    caption: str = ""
    over: Over | None = field(default=None, repr=False)


def film(
    reels: Sequence[Reel],
    shots: Sequence[Shot],
    laid: Layout,
    share: float,
    path: Path,
    *,
    opacity: float = 0.5,
    font: str = "",
    on_progress: Callable[[float], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> None:
    """Write the film as MP4 (H.264, no sound), RATE_HZ frames a second, and look at it again.

    A moment outside of a cut shows the cut's first or last frame. `share` is the cells' size to
    that of the first swing's picture. Nothing is left where it fails. Raises Stopped, ToolFailed,
    or what reading a cut raises.
    """
    done = False
    try:
        with ExitStack() as stack:
            walks = [stack.enter_context(_walk(reel)) for reel in reels]
            _write(walks, shots, laid, share, path, opacity, font, on_progress, should_stop)
        wanted = sum(shot.frames for shot in shots)
        found = len(written_times(path, laid.size))
        if found != wanted:
            raise ToolFailed(FAILED, f"{path.name} has {found} frames, not {wanted}")
        done = True
    except av.FFmpegError as error:
        raise ToolFailed(FAILED, f"{path.name} could not be written: {error}") from error
    finally:
        if not done:
            path.unlink(missing_ok=True)
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _write(
    walks: Sequence[_Walk],
    shots: Sequence[Shot],
    laid: Layout,
    share: float,
    path: Path,
    opacity: float,
    font: str,
    on_progress: Callable[[float], None] | None,
    should_stop: Callable[[], bool] | None,
) -> None:
    with av.open(f"file:{path}", "w", format="mp4", options={"movflags": "+faststart"}) as out:
        stream = _stream(out, laid.size)
        number = 0
        for place, shot in enumerate(shots):
            if should_stop and should_stop():
                raise Stopped("The work on this film was stopped.", "asked to stop")
            cells = [walk.cell(shot.clock_us, laid, share) for walk in walks]
            whole = compose(
                cells,
                laid,
                opacity=opacity,
                captions=[walk.reel.caption for walk in walks],
                words=shot.words,
                font=font,
            )
            frame = VideoFrame.from_ndarray(np.asarray(whole), format="rgb24").reformat(
                format="yuv420p", dst_colorspace=Colorspace.ITU709, dst_color_range=ColorRange.MPEG
            )
            frame.time_base = Fraction(1, RATE_HZ)
            for _ in range(shot.frames):
                frame.pts = number
                out.mux(stream.encode(frame))
                number += 1
            if on_progress:
                on_progress((place + 1) / len(shots))
        out.mux(stream.encode(None))


def _stream(out: OutputContainer, size: tuple[int, int]) -> VideoStream:
    stream = out.add_stream("libx264", rate=Fraction(RATE_HZ))
    stream.width, stream.height = size
    stream.pix_fmt = "yuv420p"
    stream.options = {"crf": "20", "preset": "veryfast", "g": "30"}
    context = stream.codec_context
    context.time_base = Fraction(1, RATE_HZ)
    # BT.709 throughout (ITU-T H.273 code points 1), in the limited range
    context.color_primaries = context.color_trc = context.colorspace = context.color_range = 1
    return stream


@contextmanager
def _walk(reel: Reel) -> Iterator[_Walk]:
    source = look(reel.path)
    with opened(reel.path, source.container) as container:
        stream = next(s for s in container.streams.video if s.index == source.video_index)
        stream.thread_type = "AUTO"
        yield _Walk(reel, source, container.decode(stream))


class _Walk:
    """Goes once through a cut, from its first frame to its last."""

    def __init__(self, reel: Reel, source: Source, frames: Iterator[VideoFrame]) -> None:
        self.reel = reel
        self._source = source
        self._frames = frames
        self._held: VideoFrame | None = None
        self._next: VideoFrame | None = next(frames, None)
        self._cell: Image.Image | None = None

    def cell(self, clock_us: int, laid: Layout, share: float) -> Image.Image:
        """The cell with the frame shown at a moment, which is none before the last one asked."""
        index = frame_at(self.reel.times_us, self.reel.warp.clip_us(clock_us))
        wanted_us = int(self.reel.times_us[index]) + SLACK_US
        while self._next is not None and self._clip_us(self._next) <= wanted_us:
            self._held, self._next = self._next, next(self._frames, None)
            self._cell = None
        frame = self._held or self._next
        if frame is None:
            raise ToolFailed(FAILED, f"nothing can be decoded of {self.reel.path.name}")
        if self._cell is None:
            self._cell = self._laid(frame, laid, share)
        return self._cell

    def _clip_us(self, frame: VideoFrame) -> int:
        base = Fraction(frame.time_base or self._source.time_base)
        own_us = ticks_to_us(frame.pts or 0, base) - self._source.start_us
        return own_us + self.reel.offset_us

    def _laid(self, frame: VideoFrame, laid: Layout, share: float) -> Image.Image:
        whole = picture(frame, self._source)
        if self.reel.mirrored:
            whole = ImageOps.mirror(whole)
        if self.reel.over:
            whole = self.reel.over(whole, self._clip_us(frame))
        return lay(whole, self.reel.window, laid.cell, share)
