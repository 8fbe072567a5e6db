"""Opens files of strangers, with nothing allowed that a phone's video does not need.

Only the demuxer that the file's first bytes call for, only the protocols 'file' and 'pipe', only
the codecs of phones and cameras, and a limit on everything.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import av
import av.error
from av.audio.stream import AudioStream
from av.container import InputContainer
from av.video.stream import VideoStream

from media_tools.errors import NoPicture, NotAVideo, TimedOut, Unreadable

PROTOCOLS = "file,pipe"
VIDEO_CODECS = frozenset(
    {"h264", "hevc", "mpeg4", "h263", "mjpeg", "vp8", "vp9", "av1", "prores", "dvvideo"}
    | {"mpeg1video", "mpeg2video", "msmpeg4v3"}
)
AUDIO_CODECS = frozenset(
    {"aac", "alac", "mp3", "mp2", "ac3", "eac3", "opus", "vorbis", "flac", "amr_nb", "amr_wb"}
    | {"pcm_s16le", "pcm_s16be", "pcm_s24le", "pcm_s24be", "pcm_s32le", "pcm_s32be", "pcm_u8"}
    | {"pcm_f32le", "pcm_f32be", "pcm_s8", "pcm_mulaw", "pcm_alaw"}
    | {"adpcm_ima_qt", "adpcm_ima_wav", "adpcm_ms"}
)
AGAIN = "Copy it from the phone or camera again and upload the new copy."
_ATTACHED_PICTURE = 0x0400  # AV_DISPOSITION_ATTACHED_PIC


@dataclass(frozen=True)
class Limits:
    """What is accepted; anything above is refused with a sentence that says the limit."""

    size_bytes: int = 8 << 30
    duration_us: int = 30 * 60 * 1_000_000
    side_px: int = 8192
    pixels: int = 36_000_000
    frames: int = 30 * 60 * 240
    look_s: float = 120.0


DEFAULT_LIMITS = Limits()


def demuxer_options(kind: str) -> dict[str, str]:
    """Options for whoever reads the file, PyAV or ffmpeg's command: so both read the same."""
    options = {"protocol_whitelist": PROTOCOLS, "format_whitelist": kind}
    if kind == "avi":  # keeps no presentation times; readers left alone guess differently
        options["fflags"] = "+genpts"
    return options


@contextmanager
def opened(path: Path, kind: str) -> Iterator[InputContainer]:
    """A container of known kind, opened for reading with nothing else allowed.

    Whatever the library says about the file inside the block becomes Unreadable.
    """
    try:
        with av.open(
            f"file:{path.resolve()}",
            format=kind,
            container_options=demuxer_options(kind),
            metadata_errors="replace",
            timeout=(60.0, 60.0),
        ) as container:
            yield container
    except av.error.ExitError as error:  # the library's own time limit
        raise TimedOut("Reading this video took too long. Try again later.", str(error)) from error
    except av.FFmpegError as error:
        raise Unreadable(
            f"This video is damaged or not complete, so it can't be opened. {AGAIN}",
            f"{type(error).__name__}: {error}",
        ) from error


def video_stream(container: InputContainer) -> VideoStream:
    streams = [s for s in container.streams.video if not int(s.disposition) & _ATTACHED_PICTURE]
    if not streams:
        raise NoPicture(
            "This file has no picture, only sound or other data. Upload the video itself.",
            f"streams: {[s.type for s in container.streams]}",
        )
    for stream in streams:
        if codec_name(stream) in VIDEO_CODECS:
            return stream
    name = codec_name(streams[0]) or "unknown"
    raise NotAVideo(
        f"The picture in this file is stored in a way that can't be read here ({name}). "
        "Export it as MP4 (H.264) and upload that.",
        f"video codec {name}",
    )


def audio_stream(container: InputContainer) -> tuple[int, str] | None:
    """Index and codec of the first sound track that can be read."""
    for stream in container.streams.audio:
        name = codec_name(stream)
        if name in AUDIO_CODECS and stream.codec_context.sample_rate:
            return stream.index, name
    return None


def codec_name(stream: VideoStream | AudioStream) -> str:
    """How the track is coded, by its standard's name; empty where that is unknown."""
    # without a decoder for it PyAV gives a stream no context, whatever its type stubs say
    context: Any = stream.codec_context
    # decoders have names of their own ('libdav1d' for 'av1', 'mp3float' for 'mp3')
    return str(context.codec.canonical_name) if context is not None else ""
