"""The demo's clips: who swings how, drawn by media_tools.mannequin."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from pathlib import Path

from media_tools.mannequin import (
    Film,
    Swinger,
    SwingSpec,
    TimedSwing,
    Truth,
    film,
    swaying,
    swinger,
)

PHONE = (720, 1280)

TOBIAS = swinger("heavy", handed="left", shirt=(58, 96, 122), trousers=(72, 70, 66))
ASHA = swinger("junior", shirt=(196, 120, 58), trousers=(58, 62, 84), hair=(42, 32, 28))
DOV = swinger("senior", shirt=(120, 62, 62), trousers=(82, 88, 96))
LENA = swinger("slight", shirt=(72, 118, 88), trousers=(236, 232, 222), hair=(148, 96, 52))


def one(person: Swinger, swing: SwingSpec, view: str = "face-on", seed: int = 1) -> Film:
    """One swing, filmed upright with a phone from the usual place."""
    return Film(
        swinger=person,
        swings=(TimedSwing(0.7, swing),),
        view=view,
        size_px=PHONE,
        fps=60,
        zoom=1.05,
        seed=seed,
    )


def sway(off_m: float, rise_m: float = 0.0) -> dict[str, object]:
    """The head's way of a swing that slides off the ball and rises."""
    sway_m, lift_m = swaying(off_m, rise_m=rise_m)
    return {"sway_m": sway_m, "lift_m": lift_m}


FILMS: dict[str, Film] = {
    "tobias first": one(TOBIAS, SwingSpec(release=0.9, **sway(0.14, 0.04)), seed=11),
    "tobias start": one(TOBIAS, SwingSpec(release=0.8, **sway(0.11, 0.03)), seed=2),
    "tobias middle": one(TOBIAS, SwingSpec(release=0.55, **sway(0.06)), "down-the-line", seed=3),
    "tobias end": one(TOBIAS, SwingSpec(release=0.25, **sway(0.025)), seed=4),
    "asha start": one(ASHA, SwingSpec(backswing_s=0.55, downswing_s=0.27, release=0.3), seed=5),
    "asha end": one(ASHA, SwingSpec(backswing_s=0.86, downswing_s=0.27), seed=6),
    "dov start": one(DOV, SwingSpec(backswing_s=0.9, downswing_s=0.32, **sway(0.03)), seed=7),
    "lena start": one(LENA, SwingSpec(backswing_s=0.8, downswing_s=0.25, club="wedge"), seed=8),
    "lena end": one(
        LENA,
        SwingSpec(backswing_s=0.72, downswing_s=0.24, club="wedge"),
        "down-the-line",
        seed=9,
    ),
    "sway gate": one(LENA, SwingSpec(backswing_s=1.3, downswing_s=0.5, strike=False), seed=10),
}


def shoot(folder: Path, told: Callable[[int, int], None]) -> dict[str, tuple[Path, Truth]]:
    """Draw every film into the folder, a few at once; `told(done, all)` after each."""
    workers = min(4, os.cpu_count() or 1)
    found: dict[str, tuple[Path, Truth]] = {}
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        waiting = {}
        for name, params in FILMS.items():
            path = folder / f"{name.replace(' ', '-')}.mp4"
            waiting[pool.submit(film, params, path)] = (name, path)
        for ready in as_completed(waiting):
            name, path = waiting[ready]
            found[name] = (path, ready.result())
            told(len(found), len(FILMS))
    return found
