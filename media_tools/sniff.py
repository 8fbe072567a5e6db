"""Tells by a file's first bytes what it is, before any demuxer sees it.

The name of the file counts for nothing. Only the kinds that phones and cameras write pass;
playlists and lists of files are named as what they are.
"""

from __future__ import annotations

import re

from media_tools.errors import NotAVideo, PointsElsewhere

HEAD_BYTES = 4096
_ISO_BOXES = {b"ftyp", b"moov", b"mdat", b"free", b"skip", b"wide", b"pnot", b"styp", b"moof"}
_LISTS = re.compile(
    rb"#EXTM3U|ffconcat|\[playlist\]|\[Reference\]|RTSPtext|v=0\r?\n|https?://|file\s+['\"]?\S+"
    rb"|<(\?xml[^>]*>\s*<)?(!--.*?-->\s*<)?(MPD|smil|asx|playlist)\b",
    re.IGNORECASE | re.DOTALL,
)
_PHOTOS = (b"\xff\xd8\xff", b"\x89PNG", b"GIF8", b"II*\0", b"MM\0*")
_PHOTO_BRANDS = {b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"avif", b"avis"}
_SAVE_AS = "Upload the video as your phone or camera saved it (MP4, MOV, MKV, WebM, AVI or 3GP)."


def container(head: bytes) -> str:
    """The demuxer for a file that begins with `head`: 'mov', 'matroska', 'avi' or 'mpegts'.

    Raises NotAVideo or PointsElsewhere.
    """
    if not head:
        raise NotAVideo("This file is empty. Choose the video again and upload it.", "0 bytes")
    if head[4:8] in _ISO_BOXES:
        if head[4:8] == b"ftyp" and head[8:12] in _PHOTO_BRANDS:
            raise NotAVideo(f"This is a photo, not a video. {_SAVE_AS}", f"brand {head[8:12]!r}")
        return "mov"
    if head.startswith(b"\x1a\x45\xdf\xa3"):
        return "matroska"
    if head.startswith(b"RIFF") and head[8:12] == b"AVI ":
        return "avi"
    if _transport_stream(head):
        return "mpegts"
    _refuse(head)
    raise NotAVideo(f"This file is not a video. {_SAVE_AS}", f"begins with {head[:16]!r}")


def _transport_stream(head: bytes) -> bool:
    # packets of 188 bytes that begin with 0x47, or of 192 with a time stamp of 4 bytes before it
    return any(
        len(head) > first + 4 * step and all(head[first + i * step] == 0x47 for i in range(5))
        for first, step in ((0, 188), (4, 192))
    )


def _refuse(head: bytes) -> None:
    if _LISTS.match(head.lstrip(b"\xef\xbb\xbf \t\r\n")):
        raise PointsElsewhere(
            "This file is only a list that points at videos kept somewhere else. "
            "Upload the video file itself.",
            f"begins with {head[:40]!r}",
        )
    if head.startswith(_PHOTOS) or (head[:4] == b"RIFF" and head[8:12] == b"WEBP"):
        raise NotAVideo(f"This is a photo, not a video. {_SAVE_AS}", f"begins {head[:8]!r}")
