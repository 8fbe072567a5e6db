"""Reads the outer structure of MP4, MOV and 3GP files: their boxes (ISO/IEC 14496-12).

For what no demuxer tells: whether the index stands before the pictures, whether the file is
cut short, whether its tracks are encrypted or lie in another file. Damage is met by reading less,
never by an error: the demuxer has the last word on what is readable.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

_CONTAINERS = {b"moov", b"trak", b"mdia", b"minf", b"dinf", b"stbl"}
_ENCRYPTED_ENTRIES = {b"encv", b"enca", b"drmi", b"drms"}
_MOST_BOXES = 10_000
_MOST_INDEX_BYTES = 256 << 20


@dataclass(frozen=True)
class Box:
    """One box of a file: its four-letter kind, first byte, bytes of header and in all."""

    kind: bytes
    start: int
    header: int
    size: int

    @property
    def end(self) -> int:
        return self.start + self.size


@dataclass(frozen=True)
class Structure:
    """What the boxes of a file say."""

    kinds: tuple[bytes, ...]
    brand: bytes
    cut_short: bool
    encrypted: bool
    points_elsewhere: bool

    @property
    def has_index(self) -> bool:
        return b"moov" in self.kinds

    @property
    def index_first(self) -> bool:
        """The index (moov) stands before the pictures (mdat): it can play while it loads."""
        if not self.has_index or b"mdat" not in self.kinds:
            return False
        return self.kinds.index(b"moov") < self.kinds.index(b"mdat")


def read_structure(path: Path) -> Structure:
    """Read the boxes of an MP4, MOV or 3GP file."""
    size = path.stat().st_size
    with path.open("rb") as file:
        boxes: list[Box] = []
        start = 0
        while start < size and len(boxes) < _MOST_BOXES:
            file.seek(start)
            box = _box(file.read(16), start, size)
            if box is None:
                break
            boxes.append(box)
            start = box.end
        index = brand = b""
        for box in boxes:
            file.seek(box.start + box.header)
            if box.kind == b"moov" and not index:
                index = file.read(min(box.size - box.header, _MOST_INDEX_BYTES))
            elif box.kind == b"ftyp" and not brand:
                brand = file.read(4)
    inner = list(_walk(index))
    return Structure(
        kinds=tuple(box.kind for box in boxes),
        brand=brand,
        cut_short=start > size,
        encrypted=any(kind == b"stsd" and _encrypted(body) for kind, body in inner),
        points_elsewhere=any(
            kind == b"rmra" or (kind == b"dref" and _elsewhere(body)) for kind, body in inner
        ),
    )


def _box(head: bytes, start: int, end: int) -> Box | None:
    """The box whose header `head` is, in a space that ends at `end`; None if it is none."""
    if len(head) < 8:
        return None
    size, kind = struct.unpack_from(">I4s", head)
    header = 8
    if size == 1 and len(head) >= 16:
        (size,) = struct.unpack_from(">Q", head, 8)
        header = 16
    elif size == 0:  # to the end of the file
        size = end - start
    if size < header:
        return None
    return Box(kind, start, header, size)


def _walk(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Every box inside `data`, the containers' insides too, as (kind, body)."""
    waiting = [data]
    seen = 0
    while waiting:
        space = waiting.pop()
        start = 0
        while start < len(space) and seen < _MOST_BOXES:
            seen += 1
            box = _box(space[start : start + 16], start, len(space))
            if box is None:
                break
            body = space[start + box.header : box.end]
            yield box.kind, body
            if box.kind in _CONTAINERS:
                waiting.append(body)
            start = box.end


def _entries(body: bytes) -> Iterator[tuple[bytes, bytes]]:
    """The entries of a box that starts with version, flags and a count, as (kind, body)."""
    start = 8
    for _ in range(min(int.from_bytes(body[4:8], "big"), 64)):
        box = _box(body[start : start + 16], start, len(body))
        if box is None:
            return
        yield box.kind, body[start + box.header : box.end]
        start = box.end


def _encrypted(stsd: bytes) -> bool:
    return any(kind in _ENCRYPTED_ENTRIES for kind, _ in _entries(stsd))


def _elsewhere(dref: bytes) -> bool:
    # flag 1 says 'in this same file'; some writers forget it, but then name no place either
    return any(not body[3] & 1 and len(body.strip(b"\0")) > 4 for _, body in _entries(dref) if body)
