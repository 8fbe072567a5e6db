"""Which bytes of a file were asked for (RFC 9110, section 14)."""

from __future__ import annotations

import re
from dataclasses import dataclass

SPEC = re.compile(r"([0-9]*)-([0-9]*)")
MOST_SPECS = 50


class UnsatisfiableError(Exception):
    """No part of what was asked for lies in the file: 416."""


@dataclass(frozen=True)
class ByteRange:
    """Bytes from `start` up to, not including, `stop`."""

    start: int
    stop: int

    @property
    def size(self) -> int:
        return self.stop - self.start

    def content_range(self, total: int) -> str:
        """The value of Content-Range in a file of `total` bytes."""
        return f"bytes {self.start}-{self.stop - 1}/{total}"


def wanted_range(header: str | None, total: int) -> ByteRange | None:
    """The one range to send of a file of `total` bytes; None to send it whole.

    A header that is malformed or in another unit is ignored, as the standard asks. Several ranges
    are joined if they touch; if they do not, the whole file is sent, which the standard leaves to
    the server. `UnsatisfiableError` if none of them lies in the file.
    """
    if header is None or total == 0:
        return None
    unit, _, listed = header.partition("=")
    if unit.strip().lower() != "bytes":
        return None
    specs = [spec.strip() for spec in listed.split(",") if spec.strip()]
    if not specs or len(specs) > MOST_SPECS:
        return None
    found: list[ByteRange] = []
    for spec in specs:
        match = SPEC.fullmatch(spec)
        if match is None or spec == "-":
            return None
        first, last = match.groups()
        if first and last and int(last) < int(first):
            return None
        if not first:
            start, stop = max(total - int(last), 0), total
        else:
            start, stop = int(first), min(int(last) + 1, total) if last else total
        if start < stop:
            found.append(ByteRange(start, stop))
    if not found:
        raise UnsatisfiableError
    return joined(found)


def joined(ranges: list[ByteRange]) -> ByteRange | None:
    """One range that covers them all without a gap, or None."""
    ordered = sorted(ranges, key=lambda one: one.start)
    whole = ordered[0]
    for one in ordered[1:]:
        if one.start > whole.stop:
            return None
        whole = ByteRange(whole.start, max(whole.stop, one.stop))
    return whole
