"""What paths are called in a list: by what was followed, and by number where that is not enough."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from lessons.paths.models import Path


@dataclass(frozen=True)
class Named:
    """A path in a list. when: 'boxed at 0.77 s' of its clip; '' where the name is enough."""

    path: Path
    name: str
    when: str = ""


def named(paths: Iterable[Path], within: Callable[[Path], object]) -> list[Named]:
    """The paths with their names, in their order.

    Of those with one title `within` the same clip or part, each has a number, in the order in
    which they were begun.
    """
    paths = list(paths)
    kinds = {path.pk: (within(path), path.title) for path in paths}
    alike = Counter(kinds.values())
    numbers: dict[int, int] = {}
    begun: Counter[object] = Counter()
    for pk in sorted(kinds):
        begun[kinds[pk]] += 1
        numbers[pk] = begun[kinds[pk]]
    return [
        Named(path, f"{path.title} {numbers[path.pk]}", f"boxed at {path.boxed_s:.2f} s")
        if alike[kinds[path.pk]] > 1
        else Named(path, path.title)
        for path in paths
    ]
