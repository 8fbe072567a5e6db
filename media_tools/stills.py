"""Takes single frames out of a video, exactly the ones that are shown at the asked times.

ffmpeg's own `-ss` gives the next frame unless the time is a frame's own (one of ten right on
variable-rate files). Here the wanted times are sorted, each key frame is sought backwards, and
frames are decoded up to the one that the table of times names; another search is made only where
a key frame lies between two wanted ones.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.container import InputContainer
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Colorspace, Interpolation
from av.video.stream import VideoStream
from PIL import Image

from media_tools import ffmpeg
from media_tools.errors import Unreadable
from media_tools.reading import AGAIN, DEFAULT_LIMITS, opened
from media_tools.source import Source, frame_at, look
from media_tools.times import ticks_to_us

_THREADS = 2
_MOST_SEARCHES = 8
_WELL_BEFORE_US = 10_000_000  # transport streams are searched by decoding time
_COLORSPACES = {
    "bt709": Colorspace.ITU709,
    "fcc": Colorspace.FCC,
    "smpte170m": Colorspace.SMPTE170M,
    "smpte240m": Colorspace.SMPTE240M,
    "bt2020": Colorspace.BT2020,
}
_HDR_FORMAT = "yuv420p10le"
_TONE_TIMEOUT_S = 60.0


@dataclass(frozen=True, eq=False)
class Still:
    """One frame: the time asked for, the time it is truly shown from, and its picture.

    Times are microseconds of the source's clock; the picture is RGB, upright, with square
    pixels, of the size `Source.width_px` by `Source.height_px`, and SDR.
    """

    asked_us: int
    time_us: int
    image: Image.Image


def take(path: Path | str, times_us: Sequence[int], source: Source | None = None) -> list[Still]:
    """The frames shown at the given times, in the order asked.

    The frame at T is the last one whose time is at most T; before the first frame, the first.
    Two times within the same frame give the same picture. `source` saves a second look.
    Raises what `look` raises, Unreadable where nothing can be decoded, and ToolFailed or
    TimedOut where the tones of an HDR frame can't be mapped.
    """
    path = Path(path)
    source = source or look(path)
    wanted = {t_us: frame_at(source.times_us, t_us) for t_us in times_us}
    found: dict[int, tuple[int, Image.Image]] = {}
    if wanted:
        with opened(path, source.container) as container:
            walk = _Walk(container, source)
            for index in sorted(set(wanted.values())):
                frame = walk.to(int(source.times_us[index]))
                found[index] = (walk.time_us(frame), picture(frame, source))
    return [Still(t_us, *found[wanted[t_us]]) for t_us in times_us]


class _Walk:
    """Goes through a video from earlier to later, leaping from key frame to key frame."""

    def __init__(self, container: InputContainer, source: Source) -> None:
        self._container = container
        self._stream: VideoStream = next(
            s for s in container.streams.video if s.index == source.video_index
        )
        self._stream.thread_type = "AUTO"
        self._stream.codec_context.thread_count = _THREADS
        self._stream.codec_context.options = {"max_pixels": str(DEFAULT_LIMITS.pixels)}
        self._time_base = Fraction(self._stream.time_base or source.time_base)
        self._keys: list[int] = source.key_times_us.tolist()
        self._start_us = source.start_us
        self._held: VideoFrame | None = None  # the last one passed
        self._next: VideoFrame | None = None  # decoded, but later than the last one wanted
        self._frames: Iterator[VideoFrame] = iter(())

    def time_us(self, frame: VideoFrame) -> int:
        return ticks_to_us(frame.pts or 0, self._time_base)

    def to(self, t_us: int) -> VideoFrame:
        """The frame shown from `t_us`; where that can't be decoded, the one before it."""
        if self._held is None or self._key_between(self.time_us(self._held), t_us):
            self._search(t_us)
        while self._held is None or self.time_us(self._held) < t_us:
            frame = self._next or next(self._frames, None)
            self._next = None
            if frame is None:
                break
            if self._held is not None and self.time_us(frame) > t_us:
                self._next = frame
                break
            self._held = frame
        if self._held is None:
            raise Unreadable(
                f"The picture at this moment of the video is damaged. {AGAIN}",
                f"nothing decoded for {t_us} us",
            )
        return self._held

    def _key_between(self, from_us: int, t_us: int) -> bool:
        return bisect_right(self._keys, t_us) > bisect_right(self._keys, from_us)

    def _search(self, t_us: int) -> None:
        """Go to a key frame from which `t_us` can be decoded.

        Demuxers search by decoding time, or by guess: what comes out first is looked at, and if
        it is later than wanted the search starts from an earlier key frame.
        """
        keys = self._keys[: bisect_right(self._keys, t_us)]
        begin_us = self._start_us - _WELL_BEFORE_US
        for from_us in (t_us, *reversed(keys[-_MOST_SEARCHES:]), self._start_us, begin_us):
            try:
                self._container.seek(self._ticks(from_us), stream=self._stream, backward=True)
            except av.FFmpegError:
                continue  # nothing lies so early
            self._frames = self._decode()
            self._held, self._next = None, next(self._frames, None)
            if self._next is not None and self.time_us(self._next) <= t_us:
                return

    def _ticks(self, t_us: int) -> int:
        return round(t_us / (1_000_000 * self._time_base))

    def _decode(self) -> Iterator[VideoFrame]:
        for packet in self._container.demux(self._stream):
            try:
                frames = packet.decode()
            except av.FFmpegError:
                continue  # one damaged packet; a player goes on, too
            for frame in frames:
                if isinstance(frame, VideoFrame) and frame.pts is not None:
                    yield frame


def picture(frame: VideoFrame, source: Source) -> Image.Image:
    """A decoded frame as it is shown: RGB, SDR, square pixels, upright."""
    image = _tone_mapped(frame, source) if source.is_hdr else _converted(frame, source)
    if image.size != source.stored_size:
        image = image.resize(source.stored_size, Image.Resampling.BICUBIC)
    return source.orientation.apply(image)


def _converted(frame: VideoFrame, source: Source) -> Image.Image:
    matrix = source.colour.matrix_name(source.coded_height_px)
    rgb = frame.reformat(
        format="rgb24",
        src_colorspace=_COLORSPACES[matrix],
        src_color_range=ColorRange.JPEG if source.colour.full_range else ColorRange.MPEG,
        dst_color_range=ColorRange.JPEG,
        interpolation=Interpolation.BICUBIC | Interpolation.FULL_CHR_H_INT,
    )
    return Image.fromarray(rgb.to_ndarray())


def _tone_mapped(frame: VideoFrame, source: Source) -> Image.Image:
    """Through the same filters of ffmpeg as the renditions (PyAV's wheel lacks `zscale`)."""
    if frame.format.name != _HDR_FORMAT:
        frame = frame.reformat(format=_HDR_FORMAT)
    size = f"{frame.width}x{frame.height}"
    filters = ",".join(
        f"{name}=" + ":".join(f"{key}={value}" for key, value in options.items())
        for name, options in source.colour.tone_filters()
    )
    rgb = ffmpeg.pipe(
        [
            *("-f", "rawvideo", "-pix_fmt", _HDR_FORMAT, "-s", size, "-i", "pipe:0"),
            *("-vf", filters, "-frames:v", "1", "-f", "rawvideo", "-pix_fmt", "rgb24", "pipe:1"),
        ],
        _raw(frame),
        timeout_s=_TONE_TIMEOUT_S,
    )
    shape = (frame.height, frame.width, 3)
    if len(rgb) != frame.height * frame.width * 3:
        raise Unreadable(f"The picture at this moment of the video is damaged. {AGAIN}", size)
    return Image.fromarray(np.frombuffer(rgb, dtype=np.uint8).reshape(shape))


def _raw(frame: VideoFrame) -> bytes:
    """The planes of a frame of two bytes a sample, without the padding of their lines."""
    return b"".join(
        np.frombuffer(memoryview(plane), dtype=np.uint8)
        .reshape(-1, plane.line_size)[: plane.height, : plane.width * 2]
        .tobytes()
        for plane in frame.planes
    )
