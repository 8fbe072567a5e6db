"""What a clip's pixels are worth: the surest known length that is marked on one of its stills."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lessons.clips.models import Clip, Still
from lessons.marks.measures import scale_of
from lessons.marks.service import marks_of, sight_of
from lessons.paths.drift import Unit


@dataclass(frozen=True)
class Ruler:
    """A known length on a still. cm_per_px: of the clip's cuts; share: by which that is off."""

    still: Still | None  # None once that is gone
    cm_per_px: float
    share: float

    @property
    def unit(self) -> Unit:
        return Unit(self.cm_per_px, self.share, "cm")


def ruler_in(clip: Clip) -> Ruler | None:
    """The surest ruler of a clip as it is now; None where no length is known."""
    found: list[Ruler] = []
    stills: Sequence[Still] = clip.stills.all()  # type: ignore[assignment]
    for still in stills:
        if still.removed_at is not None or not still.width_px:
            continue
        still.clip = clip  # whose coach and student are at hand
        scale = scale_of(marks_of(still), sight_of(still))
        if scale is not None:
            cm_per_px = scale.mm / 10 * still.width_px / clip.width_px
            found.append(Ruler(still, cm_per_px, scale.share))
    return min(found, key=lambda ruler: ruler.share, default=None)
