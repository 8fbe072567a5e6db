"""What stands on a lesson's shelf of clips."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.http import HttpRequest
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
        "here": request.path,
    }
