"""What of recaps goes when a clip is removed."""

from __future__ import annotations

from collections import Counter

from lessons.clips.models import Clip
from lessons.clips.uses import counted
from lessons.recaps.models import RecapStill
from lessons.visits.models import Lesson


def uses(clip: Clip) -> list[str]:
    """The stills of it in recaps; and itself, where its student can play it now."""
    rows = RecapStill.objects.current().filter(still__clip=clip)
    counts = Counter(rows.values_list("recap__lesson", flat=True))
    words = [
        f"{counted(counts[lesson.pk], 'a still')} of the "
        f"{'posted recap' if lesson.is_posted else 'recap'} of lesson {lesson.number}"
        for lesson in Lesson.objects.filter(pk__in=counts).order_by("number")
    ]
    if clip.is_ready and clip.lesson and clip.lesson.is_posted:
        words.append(f"the clip itself, which {clip.lesson.student} can play now")
    return words
