"""The kinds of notices, as rooms above register them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from portal.accounts.models import User


@dataclass(frozen=True)
class Kind:
    """One kind that a person can switch; `roles` who gets such notices, empty for everybody."""

    name: str
    label: str
    help: str
    roles: frozenset[str] = frozenset()
    # What a host must be able to prove was told: its letter can't be switched off
    always_by_letter: bool = False


_kinds: dict[str, Kind] = {}


def register_kind(
    name: str,
    label: str,
    help: str,  # noqa: A002 - as forms name it
    *,
    roles: Collection[str] = (),
    always_by_letter: bool = False,
) -> None:
    """Offer a switch for notices of this kind. Registering a name again replaces it."""
    _kinds[name] = Kind(name, label, help, frozenset(roles), always_by_letter)


def kind_named(name: str) -> Kind:
    """The kind of that name; KeyError for one that no room has registered."""
    return _kinds[name]


def is_kind(name: str) -> bool:
    return name in _kinds


def kinds_for(user: User) -> list[Kind]:
    """The kinds that a person of this role can get, in the order of registering."""
    return [kind for kind in _kinds.values() if not kind.roles or user.role in kind.roles]
