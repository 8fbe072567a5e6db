"""What a saved picture or film is made of: plain values, kept with its row as JSON."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from lessons.clips.models import Still
from lessons.marks.service import mark_set_of, sight_of
from lessons.pairings.models import Pairing
from lessons.pairings.sides import Side
from media_tools.beside import Pause, Picture, Placed, Warp, Window, warps, windows


@dataclass(frozen=True)
class MarkedFrame:
    """A still's marks, to be drawn where its frame is shown. See lessons.marks.mark."""

    time_us: int
    width_px: int
    height_px: int
    marks: list[dict[str, Any]]
    view: str
    handed: str
    error_px: float


@dataclass(frozen=True)
class Ingredient:
    """One swing. Times are microseconds of its clip's clock."""

    clip: int
    aligned_us: int
    positions: dict[str, int]
    slowdown: float
    width_px: int
    height_px: int
    mirrored: bool
    points: list[list[float]] | None
    caption: str
    marked: list[MarkedFrame]

    @property
    def placed(self) -> Placed:
        return Placed(self.aligned_us, self.positions, self.slowdown)

    @property
    def picture(self) -> Picture:
        points = None
        if self.points:
            (ax, ay), (bx, by) = self.points
            points = ((ax, ay), (bx, by))
        return Picture(self.width_px, self.height_px, self.mirrored, points)


@dataclass(frozen=True)
class Recipe:
    """All of it. Times are microseconds of the pairing's clock (media_tools.beside).

    A picture shows `begin_us`. A film runs from there to `end_us` at `speed`, with its pauses.
    """

    sides: list[Ingredient]
    at: str
    by_position: bool
    over: bool
    opacity: float
    zoom: float
    begin_us: int = 0
    end_us: int = 0
    speed: float = 1.0
    words: str = ""
    pauses: tuple[Pause, ...] = ()

    @property
    def warps(self) -> list[Warp]:
        return warps([side.placed for side in self.sides], self.at, by_position=self.by_position)

    @property
    def windows(self) -> list[Window]:
        return windows([side.picture for side in self.sides], self.zoom)

    def as_json(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def from_json(cls, row: dict[str, Any]) -> Recipe:
        sides = [
            Ingredient(**{**side, "marked": [MarkedFrame(**frame) for frame in side["marked"]]})
            for side in row["sides"]
        ]
        return cls(**{**row, "sides": sides, "pauses": tuple(Pause(**p) for p in row["pauses"])})


def recipe_of(pairing: Pairing, sides: list[Side], **film: Any) -> Recipe:
    """What the pairing is now; `film` says which part of it, see Recipe."""
    return Recipe(
        sides=[_ingredient(side, with_marks=pairing.with_marks) for side in sides],
        at=pairing.at,
        by_position=pairing.by_position,
        over=pairing.over,
        opacity=pairing.opacity_percent / 100,
        zoom=pairing.zoom_percent / 100,
        **film,
    )


def _ingredient(side: Side, *, with_marks: bool) -> Ingredient:
    clip = side.clip
    return Ingredient(
        clip=clip.pk,
        aligned_us=side.aligned_us,
        positions=side.times,
        slowdown=clip.slowdown,
        width_px=clip.width_px,
        height_px=clip.height_px,
        mirrored=side.row.mirrored,
        points=side.row.points,
        # A picture that is not as it was filmed says so
        caption=f"{side.caption}, mirrored" if side.row.mirrored else side.caption,
        marked=[_marked(still) for still in side.stills] if with_marks else [],
    )


def _marked(still: Still) -> MarkedFrame:
    sight = sight_of(still)
    return MarkedFrame(
        time_us=still.time_us,
        width_px=still.width_px,
        height_px=still.height_px,
        marks=mark_set_of(still).marks,
        view=sight.view,
        handed=sight.handed,
        error_px=sight.error_px,
    )
