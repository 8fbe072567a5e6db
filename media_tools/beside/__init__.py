"""Swings side by side: which frame of each at a moment, how each is laid, one picture, one film.

A pairing's *clock* counts microseconds in real time from the moment at which all are lined up.
`lessons/pairings/static/pairings/{warp,windows}.js` do the same in the browser.
"""

from __future__ import annotations

from media_tools.beside.cells import Layout, compose, layout
from media_tools.beside.film import Reel, film
from media_tools.beside.timeline import Pause, Shot, length_us, shots, shown_us
from media_tools.beside.warp import Placed, Warp, warps
from media_tools.beside.windows import Picture, Window, windows

__all__ = [
    "Layout",
    "Pause",
    "Picture",
    "Placed",
    "Reel",
    "Shot",
    "Warp",
    "Window",
    "compose",
    "film",
    "layout",
    "length_us",
    "shots",
    "shown_us",
    "warps",
    "windows",
]
