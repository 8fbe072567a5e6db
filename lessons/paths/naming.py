"""What paths are called in a list: by what was followed, and by number where that is not enough."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass

from lessons.clips.alike import numbered
from lessons.paths.models import Path


@dataclass(frozen=True)
class Named:
    """A path in a list. when: 'boxed at 0.77 s' of its clip; '' where the name is enough."""

    path: Path
    name: str
    when: str = ""


def named(paths: Iterable[Path], within: Callable[[Path], Hashable]) -> list[Named]:
    """The paths with their names, in their order.

    Of those with one title `within` the same clip or part, each has a number, in the order in
    which they were begun.
    """
    paths = list(paths)
    begun = sorted(paths, key=lambda path: path.pk)
    kinds = [(within(path), path.title) for path in begun]
    numbers = {path.pk: n for path, n in zip(begun, numbered(kinds), strict=True)}
    return [
        Named(path, f"{path.title} {numbers[path.pk]}", f"boxed at {path.boxed_s:.2f} s")
        if numbers[path.pk]
        else Named(path, path.title)
        for path in paths
    ]
