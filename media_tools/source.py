"""Looks at an uploaded video: what it is, how it is laid and when each of its frames is shown.

Nothing is believed that the file only claims: the kind comes from its first bytes, the times of
the frames from every packet, the way up and the colours from a decoded frame. Files come from
strangers: only the demuxers of phone and camera files are let near them, only the protocols
'file' and 'pipe', and everything has a limit.

A time here is an integer count of microseconds of the source's own clock.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
from av.container import InputContainer
from av.sidedata.sidedata import Type as SideDataType
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from media_tools import boxes, sniff
from media_tools.colour import Colour
from media_tools.endings import ends_early
from media_tools.errors import Encrypted, NoPicture, PointsElsewhere, TooLarge, Unreadable
from media_tools.orientation import Orientation
from media_tools.reading import (
    AGAIN,
    DEFAULT_LIMITS,
    Limits,
    audio_stream,
    codec_name,
    opened,
    video_stream,
)
from media_tools.times import Times, frame_at, middle_us, read_table

__all__ = ["Limits", "Source", "Times", "frame_at", "look", "middle_us"]

_FIRST_FRAME_PACKETS = 300


@dataclass(frozen=True, eq=False)
class Source:
    """A video as it was found."""

    size_bytes: int
    container: str  # the demuxer: 'mov', 'matroska', 'avi' or 'mpegts'
    video_codec: str
    video_index: int
    coded_width_px: int
    coded_height_px: int
    sample_aspect: Fraction  # width of a stored pixel by its height
    width_px: int  # as shown: square pixels, turned and mirrored
    height_px: int
    orientation: Orientation
    pixel_format: str
    colour: Colour
    time_base: Fraction  # seconds in a tick of the file's own clock
    start_us: int  # when the first frame is shown
    duration_us: int  # from the first frame's beginning to the last one's end
    rate_hz: float  # frames a second: the median; a clip of one frame has 0
    has_audio: bool
    audio_codec: str
    audio_index: int  # -1 without audio
    cut_short: bool  # the file ends before it should; what is there is readable
    times_us: Times = field(repr=False)  # when each frame is shown, sorted
    key_times_us: Times = field(repr=False)  # the same of the key frames alone

    @property
    def rotation_deg(self) -> int:
        """Clockwise turn needed to show it: 0, 90, 180 or 270 (after the mirroring)."""
        return self.orientation.rotation_deg

    @property
    def mirrored(self) -> bool:
        """Left and right must be exchanged to show it."""
        return self.orientation.mirrored

    @property
    def is_hdr(self) -> bool:
        """High dynamic range (PQ or HLG)."""
        return self.colour.is_hdr

    @property
    def frame_count(self) -> int:
        return len(self.times_us)

    @property
    def stored_size(self) -> tuple[int, int]:
        """Width and height with square pixels, before the turn."""
        return self.orientation.size(self.width_px, self.height_px)


def look(path: Path | str, limits: Limits = DEFAULT_LIMITS) -> Source:
    """Look at a file.

    Raises NotAVideo, NoPicture, TooLong, TooLarge, Unreadable, PointsElsewhere, Encrypted or
    TimedOut, each with a sentence for the uploader. OSError where there is no such file.
    """
    path = Path(path)
    size_bytes = path.stat().st_size
    if size_bytes > limits.size_bytes:
        raise TooLarge(
            f"This file has {_gigabytes(size_bytes)}; the limit is "
            f"{_gigabytes(limits.size_bytes)}. Trim the video to the swings that matter, "
            "then upload it again.",
            f"{size_bytes} bytes",
        )
    with path.open("rb") as file:
        kind = sniff.container(file.read(sniff.HEAD_BYTES))
    cut_short = _check_structure(path) if kind == "mov" else ends_early(path, kind)
    with opened(path, kind) as container:
        stream = video_stream(container)
        _check_pixels(stream.codec_context.width, stream.codec_context.height, limits)
        index = stream.index  # a closed container's streams must not be touched
        table = read_table(container, stream, limits)
        audio = audio_stream(container)
    with opened(path, kind) as container:
        stream = next(s for s in container.streams.video if s.index == index)
        frame = _first_frame(container, stream, limits)
        orientation = _orientation(frame)
        aspect = _aspect(stream)
        width_px, height_px = orientation.size(max(1, round(frame.width * aspect)), frame.height)
        _check_pixels(width_px, height_px, limits)
        return Source(
            size_bytes=size_bytes,
            container=kind,
            video_codec=codec_name(stream),
            video_index=stream.index,
            coded_width_px=frame.width,
            coded_height_px=frame.height,
            sample_aspect=aspect,
            width_px=width_px,
            height_px=height_px,
            orientation=orientation,
            pixel_format=frame.format.name,
            colour=_colour(frame),
            time_base=Fraction(stream.time_base or Fraction(1, 1_000_000)),
            start_us=int(table.times_us[0]),
            duration_us=table.duration_us,
            rate_hz=table.rate_hz,
            has_audio=audio is not None,
            audio_codec=audio[1] if audio else "",
            audio_index=audio[0] if audio else -1,
            cut_short=cut_short or table.broke_off,
            times_us=table.times_us,
            key_times_us=table.key_times_us,
        )


def _check_structure(path: Path) -> bool:
    """Refuse what the boxes give away; return whether the file is cut short."""
    structure = boxes.read_structure(path)
    if structure.points_elsewhere:
        raise PointsElsewhere(
            "The pictures of this video are kept in another file. Export it as one complete "
            "file (MP4) and upload that.",
            "external data reference",
        )
    if structure.encrypted:
        raise Encrypted(
            "This video is copy-protected, so it can't be opened here. Upload a video that you "
            "recorded yourself.",
            "encrypted sample entry",
        )
    if not structure.has_index:
        raise Unreadable(
            "The end of this video is missing, and without it nothing can be shown. The copy or "
            f"the recording was cut off. {AGAIN}",
            f"no moov among {structure.kinds[:8]}",
        )
    return structure.cut_short


def _check_pixels(width_px: int, height_px: int, limits: Limits) -> None:
    if width_px < 1 or height_px < 1:
        raise NoPicture(
            f"The picture in this file has no size, so there is nothing to show. {AGAIN}",
            f"{width_px} x {height_px}",
        )
    if max(width_px, height_px) > limits.side_px or width_px * height_px > limits.pixels:
        raise TooLarge(
            f"The picture of this video is {width_px} by {height_px} pixels, more than can be "
            "worked on here. Record or export it at 4K or less and upload that.",
            f"{width_px} x {height_px}, limits {limits.side_px} and {limits.pixels}",
        )


def _first_frame(container: InputContainer, stream: VideoStream, limits: Limits) -> VideoFrame:
    """Decode until there is a picture; it knows what the headers don't."""
    stream.codec_context.options = {"max_pixels": str(limits.pixels)}
    problem = "no frame decoded"
    for count, packet in enumerate(container.demux(stream)):
        try:
            for frame in packet.decode():
                if isinstance(frame, VideoFrame):
                    return frame
        except av.FFmpegError as error:
            problem = str(error)
        if count > _FIRST_FRAME_PACKETS:
            break
    raise Unreadable(f"Not one picture of this video can be read. {AGAIN}", problem)


def _orientation(frame: VideoFrame) -> Orientation:
    entries: Any = frame.side_data  # a sequence at run time, a mapping in the type stubs
    for data in entries:
        if data.type == SideDataType.DISPLAYMATRIX:
            return Orientation.from_matrix(bytes(data))
    return Orientation()


def _aspect(stream: VideoStream) -> Fraction:
    aspect = stream.sample_aspect_ratio
    # outside of this range no camera writes it, and the picture would be stretched out of sight
    return Fraction(aspect) if aspect and Fraction(1, 4) <= aspect <= 4 else Fraction(1)


def _colour(frame: VideoFrame) -> Colour:
    return Colour(
        matrix=int(frame.colorspace),
        primaries=int(frame.color_primaries),
        transfer=int(frame.color_trc),
        full_range=int(frame.color_range) == 2 or frame.format.name.startswith("yuvj"),
    )


def _gigabytes(count: int) -> str:
    return f"{count / 1e9:.1f} GB" if count >= 1e8 else f"{count / 1e6:.1f} MB"
