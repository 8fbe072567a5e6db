"""Telling things of one name apart by number."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Sequence


def numbered(names: Sequence[Hashable]) -> list[int]:
    """A number for each name, in their order: 1, 2 .. among those alike, 0 for one alone."""
    alike = Counter(names)
    met: Counter[Hashable] = Counter()
    numbers = []
    for name in names:
        met[name] += 1
        numbers.append(met[name] if alike[name] > 1 else 0)
    return numbers
