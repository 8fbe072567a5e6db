"""Makes what a player needs from a source, in two steps.

`first` makes what lets a clip be watched at once, in one run of ffmpeg; `study` cuts the parts
that are stepped through frame by frame. Both plan (`plan_first`, `plan_study`: pure), write the
plan as arguments for ffmpeg (`build_first`, `build_study`: pure), run them, and look at what came
out before it counts.
"""

from __future__ import annotations

from media_tools.prepare.graph import build_first, build_study
from media_tools.prepare.made import First, StudyCut
from media_tools.prepare.renditions import (
    FirstPlan,
    Strip,
    StudyPlan,
    plan_first,
    plan_study,
)
from media_tools.prepare.run import first, study

__all__ = [
    "First",
    "FirstPlan",
    "Strip",
    "StudyCut",
    "StudyPlan",
    "build_first",
    "build_study",
    "first",
    "plan_first",
    "plan_study",
    "study",
]
