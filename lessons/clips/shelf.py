"""What stands on a lesson's shelf of clips."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import Resolver404, resolve
from django.utils import timezone

from lessons.clips.models import Clip
from lessons.visits.models import Lesson, Part

UNDO_FOR = datetime.timedelta(minutes=10)
CLUBS = (
    *("driver", "3-wood", "5-wood", "hybrid", "4-iron", "5-iron", "6-iron", "7-iron", "8-iron"),
    *("9-iron", "pitching wedge", "gap wedge", "sand wedge", "lob wedge", "putter"),
)


@dataclass(frozen=True)
class ShelfPart:
    """One part of the lesson and its clips."""

    value: str
    label: str
    clips: list[Clip]


def shelf_context(request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """The clips of each part, what was removed a moment ago, and what a new clip starts with."""
    clips = list(lesson.clips.current())
    last = max(clips, key=lambda clip: clip.created_at, default=None)
    return {
        "parts": [
            ShelfPart(part.value, part.label, [clip for clip in clips if clip.part == part])
            for part in Part
        ],
        "in_flight": any(clip.in_flight for clip in clips),
        "just_removed": lesson.clips.filter(removed_at__gt=timezone.now() - UNDO_FOR),
        "views": Clip.View.choices,
        "clubs": CLUBS,
        "last_view": last.view if last else Clip.View.FACE_ON,
        "last_club": last.club if last else "",
        "may_be_filmed": lesson.student.may_be_filmed,
        "on_stage": clip_on_stage(request, lesson),
    }


def first_to_look_at(lesson: Lesson) -> Clip | None:
    """The clip with which a lesson is opened: the first that is ready."""
    return lesson.clips.current().ready().order_by("created_at").first()


def clip_on_stage(request: HttpRequest, lesson: Lesson) -> int | None:
    """The key of the clip that the browser's page shows, whichever part of it asks."""
    path = request.path
    if request.htmx:  # type: ignore[attr-defined]
        path = request.htmx.current_url_abs_path or ""  # type: ignore[attr-defined]
    try:
        shown = resolve(path.partition("?")[0])
    except Resolver404:
        return None
    if shown.view_name == "clips:clip":
        return int(shown.kwargs["pk"])
    first = first_to_look_at(lesson) if shown.view_name == "visits:desk" else None
    return first.pk if first else None
