"""Brings the demo's films the way every clip goes; stills and captions into the recaps."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from lessons.clips import tasks
from lessons.clips.models import Clip, Still
from lessons.drills.models import Assignment, Drill
from lessons.marks.comparing import keep_table
from lessons.marks.service import save_marks
from lessons.recaps.models import Recap, RecapStill
from lessons.visits.models import Lesson, Part
from media_tools.mannequin import Truth
from portal.accounts.models import User
from portal.files import uploads
from portal.operations.demo.drawing import MARKS, pull_at
from portal.operations.demo.pairings import lay_side_by_side
from portal.operations.demo.paths import follow_heads

Films = dict[str, tuple[Path, Truth]]


class Filmed(NamedTuple):
    """Where a film belongs: whose lesson, how many lessons ago, and what was filmed."""

    student: str
    part: Part
    view: Clip.View
    club: str
    ago: int = 0


FACE_ON, DOWN_THE_LINE = Clip.View.FACE_ON, Clip.View.DOWN_THE_LINE
TOBIAS, ASHA, DOV, LENA = "Tobias Renn", "Asha Quill", "Dov Hartigan", "Lena Osei"
CLIPS = {
    "tobias first": Filmed(TOBIAS, Part.START, FACE_ON, "7 iron", ago=2),
    "tobias start": Filmed(TOBIAS, Part.START, FACE_ON, "7 iron"),
    "tobias middle": Filmed(TOBIAS, Part.MIDDLE, DOWN_THE_LINE, "7 iron"),
    "tobias end": Filmed(TOBIAS, Part.END, FACE_ON, "7 iron"),
    "asha start": Filmed(ASHA, Part.START, FACE_ON, "9 iron"),
    "asha end": Filmed(ASHA, Part.END, FACE_ON, "9 iron"),
    "dov start": Filmed(DOV, Part.START, FACE_ON, "7 iron"),
    "lena start": Filmed(LENA, Part.START, FACE_ON, "54 wedge"),
    "lena end": Filmed(LENA, Part.END, DOWN_THE_LINE, "54 wedge"),
}
# Stills of the recaps: those of one lesson in order
STILLS = (
    ("tobias first", "P4", "Where we began: the whole body moves off the ball."),
    ("tobias first", "P6", "The club is thrown before the hands are down."),
    ("tobias start", "P4", "The head has gone back with the hips."),
    ("tobias end", "P4", "Turned, and still over the ball."),
    ("tobias start", "P6", "The angle is spent long before the ball."),
    ("tobias end", "P6", "Better: the hands lead."),
    ("tobias middle", "P1", "Set-up: weight in the middle of the feet."),
    ("asha start", "P4", "On the way down before the turn was done."),
    ("asha end", "P4", "Here you waited."),
    ("asha end", "P10", "Standing still at the end. Keep that."),
    ("dov start", "P3", "This far is far enough."),
    ("lena start", "P3", "The length for 60 metres."),
    ("lena end", "P7", "Hands over the ball at impact."),
)
COMPARED = (
    ("tobias start", "P4"),
    ("tobias end", "P4"),
    ("tobias start", "P6"),
    ("tobias end", "P6"),
)


def bring_in(path: Path, coach: User, **words: str) -> Clip:
    """One film the way of every upload, prepared here and now."""
    metadata = {"filename": f"{path.stem}.mp4", **words}
    length = path.stat().st_size
    upload = uploads.begin_upload(coach, length, metadata)
    with path.open("rb") as stream:
        uploads.take_piece(upload, 0, stream, announced=length, checksum=None)
    clip = Clip.objects.get(upload=upload)
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    if not clip.is_ready:
        raise RuntimeError(f"{path.name} could not be prepared: {clip.reason}")
    tasks.search(clip.search.pk)
    for cut in clip.cuts.in_flight():
        tasks.cut(cut.pk)
    return clip


def put_in(coach: User, films: Films, told: Callable[[int, int], None]) -> None:
    """Every film into its lesson or drill; stills, marks and captions into the recaps."""
    clips: dict[str, Clip] = {}
    for name, filmed in CLIPS.items():
        words = {"part": filmed.part, "view": filmed.view, "club": filmed.club}
        lesson = lesson_of(filmed)
        clips[name] = bring_in(films[name][0], coach, kind="clip", lesson=str(lesson.pk), **words)
        told(len(clips), len(films))
    _drill_clip(coach, films["sway gate"][0])
    told(len(films), len(films))
    stills: dict[tuple[str, str], Still] = {}
    for order, (name, position, caption) in enumerate(STILLS):
        still = stills[name, position] = pull_at(clips[name], films[name][1], position)
        marks = MARKS.get((name, position))
        if marks:
            save_marks(still, 0, marks(films[name][1]))
        recap = Recap.objects.get(lesson=clips[name].lesson)
        RecapStill.objects.create(recap=recap, still=still, caption=caption, order=order)
    compared = [stills[wanted] for wanted in COMPARED]
    keep_table(compared[0].clip.lesson, compared, in_recap=True)
    lay_side_by_side(clips)
    follow_heads(clips, films)


def lesson_of(filmed: Filmed) -> Lesson:
    """The lesson in which something was filmed."""
    return Lesson.objects.filter(student__name=filmed.student).order_by("-date")[filmed.ago]


def _drill_clip(coach: User, path: Path) -> None:
    """The sway gate's own clip, in the library and in what was given of it."""
    drill = Drill.objects.get(coach=coach, name="Sway gate")
    clip = bring_in(path, coach, kind="drill-clip", drill=str(drill.pk))
    Assignment.objects.filter(drill=drill).update(clip=clip)
