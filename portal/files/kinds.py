"""What an upload becomes. Rooms above register their kinds; this one knows none of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.contrib.auth.models import AbstractBaseUser

from portal.files.models import Upload


class Refused(Exception):
    """The upload may not be, with a sentence for the person who sends it."""


@dataclass(frozen=True)
class Kind:
    """What a room does with uploads of one kind."""

    check: Callable[[AbstractBaseUser, dict[str, str], int], None]
    finish: Callable[[Upload], str]


_kinds: dict[str, Kind] = {}


def register(
    kind: str,
    *,
    check: Callable[[AbstractBaseUser, dict[str, str], int], None],
    finish: Callable[[Upload], str],
) -> None:
    """Take uploads of a kind.

    `check(user, metadata, length)` runs before anything is stored (length in bytes) and raises
    `Refused` with a sentence. `finish(upload)` runs once, in the transaction that completes the
    upload, and returns the address of what was made of it; it must be quick, and may raise
    `Refused` too.
    """
    _kinds[kind] = Kind(check, finish)


def kind_named(name: str) -> Kind:
    """The kind of that name; `Refused` if there is none."""
    try:
        return _kinds[name]
    except KeyError:
        raise Refused("This site does not take files of that kind.") from None
