"""Who decides for whom whether notices go out: rooms above say who is minded by whom."""

from __future__ import annotations

from collections.abc import Callable

from portal.accounts.models import User

# Who decides for a person; None for somebody who decides alone. The first that answers counts
MINDERS: list[Callable[[User], list[User] | None]] = []
# For whom a person decides
WARDS: list[Callable[[User], list[User]]] = []


def minders_of(user: User) -> list[User] | None:
    """Those who decide whether this person gets notices; None if they decide alone."""
    for asked in MINDERS:
        minders = asked(user)
        if minders is not None:
            return minders
    return None


def wards_of(user: User) -> list[User]:
    """The people for whom this person decides."""
    return [ward for asked in WARDS for ward in asked(user)]
