"""The words of the tus protocol, version 1.0.0: headers in and out, and what can go wrong.

Source: tus resumable upload protocol 1.0.0, https://tus.io/protocols/resumable-upload
"""

from __future__ import annotations

import base64
import binascii
from dataclasses import dataclass

VERSION = "1.0.0"
EXTENSIONS = "creation,expiration,checksum,termination"
CHECKSUMS = ("sha1", "sha256")
PIECE_TYPE = "application/offset+octet-stream"
METADATA_BYTES = 8_000


class TusError(Exception):
    """A request that is not carried out: the status, and a sentence for the person."""

    def __init__(self, status: int, sentence: str, **headers: str) -> None:
        super().__init__(sentence)
        self.status = status
        self.sentence = sentence
        self.headers = {name.replace("_", "-"): value for name, value in headers.items()}


@dataclass(frozen=True)
class Checksum:
    """What the sender says of a piece: the algorithm's name and the digest."""

    algorithm: str
    digest: bytes


def parse_number(name: str, text: str | None) -> int:
    """A header that holds a whole number of bytes, 0 or more."""
    if text is None:
        raise TusError(400, f"The header {name} is missing.")
    if not (text.isascii() and text.isdigit()) or len(text) > 18:
        raise TusError(400, f"The header {name} must be a whole number, 0 or more.")
    return int(text)


def parse_metadata(text: str | None) -> dict[str, str]:
    """Upload-Metadata: pairs of a key and a Base64 value, parted by commas, as UTF-8 text."""
    pairs: dict[str, str] = {}
    if not text or not text.strip():
        return pairs
    if len(text) > METADATA_BYTES:
        raise TusError(400, f"Upload-Metadata is longer than {METADATA_BYTES} characters.")
    for pair in text.split(","):
        key, _, value = pair.strip(" ").partition(" ")
        if not key or not key.isascii() or key in pairs:
            raise TusError(400, "Upload-Metadata has an empty, repeated or non-ASCII key.")
        try:
            words = base64.b64decode(value.strip(" "), validate=True).decode()
        except (binascii.Error, UnicodeDecodeError):
            raise TusError(400, f"Upload-Metadata: {key} is not Base64 of UTF-8 text.") from None
        # Control characters have no place in a name, and PostgreSQL refuses NUL
        pairs[key] = "".join(letter for letter in words if letter.isprintable())
    return pairs


def format_metadata(pairs: dict[str, str]) -> str:
    """The metadata as a header."""
    return ",".join(
        f"{key} {base64.b64encode(value.encode()).decode()}".strip() for key, value in pairs.items()
    )


def parse_checksum(text: str | None) -> Checksum | None:
    """Upload-Checksum: the algorithm's name and the Base64 digest."""
    if text is None:
        return None
    algorithm, _, digest = text.partition(" ")
    if algorithm not in CHECKSUMS:
        raise TusError(400, f"Upload-Checksum: the algorithms here are {', '.join(CHECKSUMS)}.")
    try:
        return Checksum(algorithm, base64.b64decode(digest, validate=True))
    except binascii.Error:
        raise TusError(400, "Upload-Checksum: the digest is not Base64.") from None
