"""A path made ready for a page: drift, trace and plot, the gaps in words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from django.http import HttpRequest

from lessons.clips.models import Clip, Position, Still
from lessons.clips.positions import SwingPosition, positions_of
from lessons.marks.comparing import PARTS
from lessons.marks.sight import Sight
from lessons.paths.drift import Drift, Unit, drift_of
from lessons.paths.models import Path, PathQuerySet
from lessons.paths.naming import named
from lessons.paths.plot import Plot, plot_of
from lessons.paths.scale import Ruler, ruler_in
from lessons.paths.trace import Trace, trace_of
from lessons.paths.went import Went
from lessons.paths.words import Fact, facts_of, gap_words, lost_in, worth_a_box
from lessons.visits.models import Lesson


def whole(paths: PathQuerySet) -> PathQuerySet:
    """With all that a page needs to show them."""
    return paths.select_related(
        "swing", "still", "ruler_still", "clip__lesson__student", "clip__coach__marking_error"
    ).prefetch_related("swing__placed", "clip__stills__mark_set")


@dataclass
class ShownPath:
    """One path with what can be read off it."""

    path: Path
    name: str = ""  # where several are shown

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
    def ruler(self) -> Ruler | None:
        """What centimetres are told by: in the recap the one that was kept with the path."""
        return self.path.kept_ruler if self.path.in_recap else self.ruler_now

    @cached_property
    def ruler_now(self) -> Ruler | None:
        return ruler_in(self.path.clip)

    @property
    def is_ruler_old(self) -> bool:
        """Whether the recap counts by another length than the one that is marked now."""
        return self.path.in_recap and self.ruler != self.ruler_now

    @cached_property
    def unit(self) -> Unit:
        return self.ruler.unit if self.ruler else Unit.of_box(self.box_px[0])

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
    def span_us(self) -> tuple[int, int]:
        """The swing: from P1 to P10, or the whole path where these are not known."""
        if len(self.positions) > 1:
            return self.positions[0].time_us, self.positions[-1].time_us
        return self.path.begin_us, self.path.end_us

    @property
    def span_words(self) -> str:
        """'from P1 to P10'."""
        if len(self.positions) < 2:
            return ""
        return f"from {self.positions[0].position} to {self.positions[-1].position}"

    @cached_property
    def counted(self) -> tuple[int, int]:
        """In how many frames of the swing it was found, and how many there are."""
        return self.went.counted(*self.span_us)

    @property
    def percent(self) -> int:
        """The share of the swing's frames in which it was found, never rounded up to all."""
        found, frames = self.counted
        return 100 * found // frames if frames else 0

    @property
    def gaps(self) -> list[str]:
        """Where the patch was lost, in words."""
        return [self._gap_words(gap) for gap in self.went.gaps]

    @cached_property
    def lost(self) -> list[str]:
        """Where it was lost within the swing, in words, the longest first."""
        gaps = sorted(lost_in(self.went, *self.span_us), key=lambda gap: gap[0] - gap[1])
        return [self._gap_words(gap) for gap in gaps]

    @property
    def lost_stops_us(self) -> list[int]:
        """The frames at which another box would help."""
        gaps = lost_in(self.went, *self.span_us)
        return worth_a_box(self.went, gaps, self.positions, self.path.clip.slowdown)

    @cached_property
    def unsure(self) -> int:
        """In how many frames it is found without being sure."""
        return sum(not place.is_sure for place in self.went.there)

    @property
    def facts(self) -> list[Fact]:
        return facts_of(self.drift, self.positions) if self.drift else []

    @property
    def has_guesses(self) -> bool:
        return any(p.is_guess for p in self.positions)

    @property
    def still_title(self) -> str:
        """What the still is called on which the trace is drawn: by its position if it has one."""
        still = self.path.still
        if still is None:
            return ""
        if not (still.caption or still.position) and self.went.times_us:
            for p in self.positions:
                if self.went.shown_us(p.time_us) == still.time_us:
                    return str(Position(p.position).label)
        return still.title

    @property
    def origin_us(self) -> int:
        """The time from which times are told: P1, or the path's begin where that is not known."""
        return self.positions[0].time_us if self.positions else self.path.begin_us

    def _gap_words(self, gap: tuple[int, int]) -> str:
        return gap_words(gap, self.went, self.positions, self.path.clip.slowdown)


def read_context(request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """What the coach put into the recap of a lesson."""
    paths = Path.objects.visible_to(request.user).ready()
    paths = whole(paths.filter(clip__lesson=lesson, in_recap=True))
    found = named(paths, within=lambda path: path.clip.part)
    shown = [one for one in (ShownPath(each.path, each.name) for each in found) if one.drift]
    units = {one.unit.name for one in shown}
    return {
        "paths": sorted(shown, key=lambda s: PARTS[s.path.clip.part]),
        "unit": "cm" if "cm" in units else "%",
    }


def page_context(_request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """The paths of a lesson that its coach is writing up."""
    paths = Path.objects.current().filter(clip__lesson=lesson, clip__removed_at__isnull=True)
    return {"paths": named(paths.select_related("clip"), within=lambda path: path.clip_id)}


def clip_context(_request: HttpRequest, clip: Clip) -> dict[str, object]:
    """The paths of a clip that its coach is looking at."""
    paths = clip.paths.current().select_related("clip")
    return {"paths": named(paths, within=lambda path: path.clip_id)}


def still_context(request: HttpRequest, still: Still) -> dict[str, object]:
    return clip_context(request, still.clip)
