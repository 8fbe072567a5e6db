"""Fixtures of the media tests: a shelf of small files and of what is made from them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from media_tools import prepare
from media_tools.source import look
from tests.media_tools.clips import make
from tests.media_tools.recipes import RECIPES

Clip = Callable[[str], Path]


@pytest.fixture(scope="session")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Clip:
    """The file of a recipe, by its name; each is made once."""
    folder = tmp_path_factory.mktemp("clips")
    shelf: dict[str, Path] = {}

    def get(name: str) -> Path:
        if name not in shelf:
            recipe = RECIPES[name]
            shelf[name] = make(folder / f"{name}.{recipe.ending}", recipe)
        return shelf[name]

    return get


@pytest.fixture(scope="session")
def made(clip: Clip, tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], prepare.First]:
    """What was made of a clip at first, by the clip's name; each is made once."""
    folder = tmp_path_factory.mktemp("first")
    shelf: dict[str, prepare.First] = {}

    def get(name: str) -> prepare.First:
        if name not in shelf:
            shelf[name] = prepare.first(clip(name), look(clip(name)), folder / name)
        return shelf[name]

    return get


@pytest.fixture(scope="session")
def cut(clip: Clip, tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], prepare.StudyCut]:
    """The study cut of the third to the fifth sixth of a clip, by its name; made once."""
    folder = tmp_path_factory.mktemp("cuts")
    shelf: dict[str, prepare.StudyCut] = {}

    def get(name: str) -> prepare.StudyCut:
        if name not in shelf:
            source = look(clip(name))
            begin_us, end_us = source.duration_us // 3, source.duration_us * 5 // 6
            shelf[name] = prepare.study(clip(name), source, begin_us, end_us, folder / name)
        return shelf[name]

    return get
