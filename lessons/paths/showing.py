"""A path made ready for a page: drift, trace and plot, the gaps in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from django.http import HttpRequest

from lessons.clips.models import Clip, Still
from lessons.clips.positions import SwingPosition, positions_of
from lessons.marks.comparing import PARTS
from lessons.marks.measures import scale_of
from lessons.marks.service import marks_of, sight_of
from lessons.marks.sight import Sight
from lessons.paths.drift import Drift, Unit, Wall, drift_of
from lessons.paths.models import Path, PathQuerySet
from lessons.paths.plot import Plot, plot_of
from lessons.paths.trace import Trace, trace_of
from lessons.paths.went import Went
from lessons.visits.models import Lesson


def whole(paths: PathQuerySet) -> PathQuerySet:
    """With all that a page needs to show them."""
    return paths.select_related(
        "swing", "still", "clip__lesson__student", "clip__coach__marking_error"
    ).prefetch_related("swing__placed", "clip__stills__mark_set")


@dataclass(frozen=True)
class Gap:
    """Where the patch was lost: when, in words for a page."""

    words: str


@dataclass(frozen=True)
class WallWords:
    """A wall line in words."""

    name: str
    words: str


@dataclass
class ShownPath:
    """One path with what can be read off it."""

    path: Path

    @cached_property
    def went(self) -> Went:
        return Went.of(self.path.places)

    @cached_property
    def positions(self) -> list[SwingPosition]:
        swing = self.path.swing
        return positions_of(swing) if swing is not None and swing.removed_at is None else []

    @cached_property
    def sight(self) -> Sight:
        clip = self.path.clip
        if clip.lesson is None:
            return Sight(clip.view)
        return Sight(clip.view, clip.lesson.student.handed)

    @cached_property
    def unit(self) -> Unit:
        return scale_in(self.path.clip) or Unit.of_box(self.box_px[0])

    @cached_property
    def box_px(self) -> tuple[float, float]:
        first = self.path.boxes[0]
        return first["width"], first["height"]

    @cached_property
    def drift(self) -> Drift | None:
        return drift_of(self.went, self.positions, self.sight, self.box_px, self.unit)

    @cached_property
    def trace(self) -> Trace | None:
        if self.drift is None:
            return None
        clip = self.path.clip
        size = clip.width_px, clip.height_px
        return trace_of(size, self.box_px, self.went, self.positions, self.drift)

    @cached_property
    def plot(self) -> Plot | None:
        if self.drift is None:
            return None
        title = self.path.title
        return plot_of(title, self.went, self.positions, self.drift, self.sight.side)

    @cached_property
    def gaps(self) -> list[Gap]:
        return [Gap(self._gap_words(*gap)) for gap in self.went.gaps]

    @cached_property
    def unsure(self) -> int:
        """In how many frames it is found without being sure."""
        return sum(not place.is_sure for place in self.went.there)

    @property
    def walls(self) -> list[WallWords]:
        return [self._wall_words(wall) for wall in self.drift.walls] if self.drift else []

    @property
    def has_guesses(self) -> bool:
        return any(p.is_guess for p in self.positions)

    @property
    def origin_us(self) -> int:
        """The time from which times are told: P1, or the path's begin where that is not known."""
        return self.positions[0].time_us if self.positions else self.path.begin_us

    def since(self, time_us: int) -> float:
        """Seconds in real time after P1, or after the path's begin where P1 is not known."""
        return (time_us - self.origin_us) / 1e6 / self.path.clip.slowdown

    def _wall_words(self, wall: Wall) -> WallWords:
        amount = wall.largest.amount
        side = amount.ways[0] if amount.value > 0 else amount.ways[1]
        lies = "Upright wall" if wall.is_upright else "Level wall"
        if wall.first_us is None:
            return WallWords(lies, "Not crossed.")
        begins = [p.position for p in self.positions if p.time_us >= wall.first_us]
        when = f" before {begins[0]}" if begins else ""
        return WallWords(f"{lies}, {side}", f"Crossed{when}, at most by {amount.short}.")

    def _gap_words(self, first_us: int, last_us: int) -> str:
        origin = "P1" if self.positions else "the beginning"
        if self.positions and last_us < self.positions[0].time_us:
            return "before P1"
        if last_us == self.went.times_us[-1]:
            return f"from {self.since(first_us):.2f} s after {origin} to the end"
        words = f"{self.since(first_us):.2f} to {self.since(last_us):.2f} s after {origin}"
        before = [p.position for p in self.positions if p.time_us <= first_us]
        after = [p.position for p in self.positions if p.time_us >= last_us]
        return f"{words}, between {before[-1]} and {after[0]}" if before and after else words


def scale_in(clip: Clip) -> Unit | None:
    """Centimetres a pixel of the clip's cuts, by the surest known length marked in the clip."""
    found: list[Unit] = []
    stills: Sequence[Still] = clip.stills.all()  # type: ignore[assignment]
    for still in stills:
        if still.removed_at is not None or not still.width_px:
            continue
        still.clip = clip  # whose coach and student are at hand
        scale = scale_of(marks_of(still), sight_of(still))
        if scale is not None:
            found.append(Unit(scale.mm / 10 * still.width_px / clip.width_px, scale.share, "cm"))
    return min(found, key=lambda unit: unit.share, default=None)


def read_context(request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """What the coach put into the recap of a lesson."""
    paths = Path.objects.visible_to(request.user).ready()
    paths = whole(paths.filter(clip__lesson=lesson, in_recap=True))
    shown = [path for path in map(ShownPath, paths) if path.drift]
    return {"paths": sorted(shown, key=lambda s: PARTS[s.path.clip.part])}


def page_context(_request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """The paths of a lesson that its coach is writing up."""
    paths = Path.objects.current().filter(clip__lesson=lesson, clip__removed_at__isnull=True)
    return {"paths": paths.select_related("clip")}


def clip_context(_request: HttpRequest, clip: Clip) -> dict[str, object]:
    """The paths of a clip that its coach is looking at."""
    return {"paths": clip.paths.current()}


def still_context(request: HttpRequest, still: Still) -> dict[str, object]:
    return clip_context(request, still.clip)
