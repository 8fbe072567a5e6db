"""Tells whether a Matroska, WebM or AVI file ends before it says it does.

Demuxers read what is there and call the end of a file that was cut off an ordinary end. MP4 and
MOV are read by `boxes`; transport streams, and recordings that were written without going back
to their head, don't say how long they are.
"""

from __future__ import annotations

from pathlib import Path
from typing import BinaryIO

_SEGMENT = 0x18538067  # RFC 8794 and RFC 9559
_MOST_CHUNKS = 1_000


def ends_early(path: Path, kind: str) -> bool:
    """True where the file has fewer bytes than its head states; False where it states none."""
    size = path.stat().st_size
    with path.open("rb") as file:
        if kind == "matroska":
            return _matroska_end(file) > size
        if kind == "avi":
            return _avi_end(file, size) > size
    return False


def _matroska_end(file: BinaryIO) -> int:
    """Where the segment should end; 0 where that is not stated."""
    file.seek(4)  # past the ID of the EBML header
    header = _number(file)
    if header is None:
        return 0
    file.seek(header, 1)
    if int.from_bytes(file.read(4), "big") != _SEGMENT:
        return 0
    length = _number(file)
    return 0 if length is None else file.tell() + length


def _number(file: BinaryIO) -> int | None:
    """A variable-length number; None where it is damaged or says 'unknown' (all ones)."""
    first = file.read(1)
    if not first or not first[0]:
        return None
    width = 9 - first[0].bit_length()
    rest = file.read(width - 1)
    value = int.from_bytes(bytes([first[0] & (0xFF >> width)]) + rest, "big")
    return None if len(rest) < width - 1 or value == (1 << 7 * width) - 1 else value


def _avi_end(file: BinaryIO, size: int) -> int:
    """Where the last of its RIFF chunks should end; long recordings have several."""
    end = 0
    for _ in range(_MOST_CHUNKS):
        file.seek(end)
        head = file.read(8)
        length = int.from_bytes(head[4:], "little")
        if len(head) < 8 or head[:4] != b"RIFF" or not length:
            break
        end += 8 + length
        if end >= size:
            break
    return end
