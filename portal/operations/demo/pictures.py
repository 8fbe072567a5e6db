"""Brings the demo's films the way every clip goes, and draws on the stills.

Where joints and positions are is not measured here: the mannequin's truth says it.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from pathlib import Path

from lessons.clips import tasks
from lessons.clips.models import Clip, Position, Still
from lessons.clips.service import take_still
from lessons.drills.models import Assignment, Drill
from lessons.marks.service import save_marks
from lessons.recaps.models import Recap, RecapStill
from lessons.visits.models import Lesson, Part
from media_tools.mannequin import Truth
from portal.accounts.models import User
from portal.files import uploads

BLUE, ORANGE, GREEN = "#0072B2", "#E69F00", "#009E73"
Marks = list[dict[str, object]]
Films = dict[str, tuple[Path, Truth]]

# Which film is which clip: student, part, view, club
CLIPS = {
    "tobias start": ("Tobias Renn", Part.START, Clip.View.FACE_ON, "7 iron"),
    "tobias middle": ("Tobias Renn", Part.MIDDLE, Clip.View.DOWN_THE_LINE, "7 iron"),
    "tobias end": ("Tobias Renn", Part.END, Clip.View.FACE_ON, "7 iron"),
    "asha start": ("Asha Quill", Part.START, Clip.View.FACE_ON, "9 iron"),
    "asha end": ("Asha Quill", Part.END, Clip.View.FACE_ON, "9 iron"),
    "dov start": ("Dov Hartigan", Part.START, Clip.View.FACE_ON, "7 iron"),
    "lena start": ("Lena Osei", Part.START, Clip.View.FACE_ON, "54 wedge"),
    "lena end": ("Lena Osei", Part.END, Clip.View.DOWN_THE_LINE, "54 wedge"),
}
# Stills of the recaps, in order
STILLS = {
    "Tobias Renn": [
        ("tobias start", "P4", "The head has gone back with the hips."),
        ("tobias end", "P4", "Turned, and still over the ball."),
        ("tobias start", "P6", "The angle is spent long before the ball."),
        ("tobias end", "P6", "Better: the hands lead."),
        ("tobias middle", "P1", "Set-up: weight in the middle of the feet."),
    ],
    "Asha Quill": [
        ("asha start", "P4", "On the way down before the turn was done."),
        ("asha end", "P4", "Here you waited."),
        ("asha end", "P10", "Standing still at the end. Keep that."),
    ],
    "Dov Hartigan": [("dov start", "P3", "This far is far enough.")],
    "Lena Osei": [
        ("lena start", "P3", "The length for 60 metres."),
        ("lena end", "P7", "Hands over the ball at impact."),
    ],
}


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
    for name, (student, part, view, club) in CLIPS.items():
        lesson = Lesson.objects.filter(student__name=student).latest("date")
        words = {"kind": "clip", "lesson": str(lesson.pk), "part": part, "view": view, "club": club}
        clips[name] = bring_in(films[name][0], coach, **words)
        told(len(clips), len(films))
    _drill_clip(coach, films["sway gate"][0])
    told(len(films), len(films))
    for student, rows in STILLS.items():
        recap = Recap.objects.filter(lesson__student__name=student).latest("lesson__date")
        for order, (name, position, caption) in enumerate(rows):
            still = _still(clips[name], films[name][1], position)
            marks = MARKS.get((name, position))
            if marks:
                save_marks(still, 0, marks(films[name][1]))
            RecapStill.objects.create(recap=recap, still=still, caption=caption, order=order)


def _drill_clip(coach: User, path: Path) -> None:
    """The sway gate's own clip, in the library and in what was given of it."""
    drill = Drill.objects.get(coach=coach, name="Sway gate")
    clip = bring_in(path, coach, kind="drill-clip", drill=str(drill.pk))
    Assignment.objects.filter(drill=drill).update(clip=clip)


def _still(clip: Clip, truth: Truth, position: str) -> Still:
    time_us = truth.swings[0].positions_us[position] - clip.offset_us
    still = take_still(clip, time_us, Position(position))
    tasks.pull(still.pk)
    still.refresh_from_db()
    if still.state != Still.State.READY:
        raise RuntimeError(f"no still at {position}: {still.reason}")
    return still


def mark(kind: str, colour: str, *points: tuple[float, float], text: str = "") -> dict[str, object]:
    """One mark in the still's pixels."""
    rounded = [[round(x, 1), round(y, 1)] for x, y in points]
    return {
        "id": str(uuid.uuid4()),
        "kind": kind,
        "points": rounded,
        "colour": colour,
        "text": text,
    }


def at(truth: Truth, position: str, joint: str) -> tuple[float, float]:
    """Where a joint is at a position."""
    return truth.joint(joint, truth.frame_at(truth.swings[0].positions_us[position]))


def head_went(truth: Truth) -> Marks:
    """The head at address and at the top, and the line that the trail hip started on."""
    head, top = at(truth, "P1", "head"), at(truth, "P4", "head")
    hip, ankle = at(truth, "P1", "trail_hip"), at(truth, "P1", "trail_ankle")
    radius = 0.14 * truth.px_per_m
    outwards = 1 if hip[0] > at(truth, "P1", "lead_hip")[0] else -1
    line_x = hip[0] + outwards * 0.09 * truth.px_per_m
    circles = [
        mark("ellipse", BLUE, (x - radius, y - radius), (x + radius, y + radius))
        for x, y in (head, top)
    ]
    return [
        mark("line", ORANGE, (line_x, hip[1] - 0.25 * truth.px_per_m), (line_x, ankle[1])),
        *(circles if abs(head[0] - top[0]) > radius else circles[:1]),
    ]


def wrist_angle(truth: Truth) -> Marks:
    """The angle between lead arm and shaft coming down."""
    arm, grip = at(truth, "P6", "lead_elbow"), at(truth, "P6", "grip")
    return [mark("angle", ORANGE, arm, grip, at(truth, "P6", "club_head"))]


def spine(truth: Truth) -> Marks:
    """Neck to hips, and how it leans."""
    lead, trail = at(truth, "P1", "lead_hip"), at(truth, "P1", "trail_hip")
    hips = ((lead[0] + trail[0]) / 2, (lead[1] + trail[1]) / 2)
    return [mark("line", GREEN, at(truth, "P1", "neck"), hips)]


MARKS: dict[tuple[str, str], Callable[[Truth], Marks]] = {
    ("tobias start", "P4"): head_went,
    ("tobias end", "P4"): head_went,
    ("tobias start", "P6"): wrist_angle,
    ("tobias end", "P6"): wrist_angle,
    ("tobias middle", "P1"): spine,
}
