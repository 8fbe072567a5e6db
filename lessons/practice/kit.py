"""What the phone keeps for a place without a signal, and how large it is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from django.core.cache import cache
from django.db.models.fields.files import FieldFile
from django.urls import reverse

from lessons.clips.models import Clip
from lessons.drills.models import Assignment
from lessons.pairings.models import SavedPairing
from lessons.recaps.models import Recap
from lessons.recaps.reading import shown_stills
from lessons.visits.models import Lesson

BUDGET_BYTES = 25_000_000
# A longer clip is for looking at with a signal, not for copying a move from
LONGEST_CLIP_US = 60_000_000

Sized = tuple[str, FieldFile]


def kit_of(lessons: Sequence[Lesson]) -> dict[str, object]:
    """Pages, and files with their sizes in bytes, within BUDGET_BYTES in all.

    One lesson a student; a guardian may have several. Pictures come first, then the clips of the
    drills in their order; a file that does not fit is left out and the next one tried.
    """
    pages = [reverse("practice:today")]
    shown: list[Sized] = []
    watched: list[Sized] = []
    for lesson in lessons:
        given = list(lesson.assignments.holding().select_related("clip"))
        pages.append(f"{reverse('practice:today')}?student={lesson.student_id}")
        pages.append(reverse("recaps:read", args=[lesson.pk]))
        pages += [reverse("drills:given", args=[assignment.pk]) for assignment in given]
        shown += pictures(lesson, given)
        watched += clips(given)
    files, total = [], 0
    for url, stored in dict([*shown, *watched]).items():
        size = size_of(stored)
        if size and total + size <= BUDGET_BYTES:
            files.append({"url": url, "bytes": size})
            total += size
    return {"pages": pages, "files": files, "bytes": total, "budget": BUDGET_BYTES}


def pictures(lesson: Lesson, given: list[Assignment]) -> Iterator[Sized]:
    """Posters of the drills' clips, the recap's stills and pairings, posters of its clips."""
    for clip in ready_clips(given):
        yield reverse("clips:file", args=[clip.pk, "poster"]), clip.poster
    recap = Recap.objects.filter(lesson=lesson).first()
    for shown in shown_stills(recap) if recap else ():
        if shown.still.is_ready:
            yield reverse("clips:picture", args=[shown.still_id]), shown.still.picture
    for saved in SavedPairing.objects.in_recap_of(lesson):
        what = "poster" if saved.is_film else "file"
        yield reverse(f"pairings:{what}", args=[saved.pk]), getattr(saved, what)
    for clip in lesson.clips.current().ready():
        yield reverse("clips:file", args=[clip.pk, "poster"]), clip.poster


def clips(given: list[Assignment]) -> Iterator[Sized]:
    for clip in ready_clips(given):
        if clip.duration_us <= LONGEST_CLIP_US:
            yield reverse("clips:file", args=[clip.pk, "watch"]), clip.watch


def ready_clips(given: list[Assignment]) -> list[Clip]:
    clips = [assignment.clip for assignment in given if assignment.clip]
    return [clip for clip in clips if clip.is_ready and clip.removed_at is None]


def size_of(stored: FieldFile) -> int:
    """A stored file's size in bytes, 0 if there is none; a file never changes under its name."""
    if not stored:
        return 0
    key = f"bytes:{stored.name}"
    size: int | None = cache.get(key)
    if size is None:
        try:
            size = stored.storage.look(stored.name).size
        except FileNotFoundError:
            return 0
        cache.set(key, size, None)
    return size
