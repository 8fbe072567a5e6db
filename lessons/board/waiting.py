"""What waits for the coach's answer. Rooms that hold questions and check-ins say how many."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping

from portal.accounts.models import User

# Each gives, for a coach, how many wait by the student's primary key, in one or two queries
SOURCES: list[Callable[[User], Mapping[int, int]]] = []


def waiting_of(coach: User) -> Mapping[int, int]:
    """Questions and check-ins without an answer, by student."""
    total: Counter[int] = Counter()
    for source in SOURCES:
        total.update(source(coach))
    return total
