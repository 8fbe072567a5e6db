"""What is asked of an upload before it becomes a clip, and the clip it becomes."""

from __future__ import annotations

from django.conf import settings
from django.urls import reverse

from lessons.clips.models import Clip
from lessons.visits.models import Lesson, Part
from portal.accounts.models import User
from portal.files.kinds import Refused
from portal.files.models import Upload
from portal.work.sending import send

LONGEST_CLUB = Clip._meta.get_field("club").max_length
LONGEST_NAME = Clip._meta.get_field("file_name").max_length


def check_clip(user: User, metadata: dict[str, str], length: int) -> None:
    """May this user send a clip of so many bytes to the lesson that the metadata name?

    Metadata: lesson (its key), part, view, club, filename. Raises Refused with a sentence.
    """
    lesson = _lesson(user, metadata)
    check_consent(lesson)
    check_video(metadata, length)
    if metadata.get("part", Part.START) not in Part.values:
        raise Refused("A clip belongs to the start, middle or end of a lesson. Choose one of them.")


def check_video(metadata: dict[str, str], length: int) -> None:
    """What holds for every clip, a lesson's or the library's: its size, view and club."""
    if length <= 0:
        raise Refused("This file is empty. Choose the video again.")
    if length > settings.MAX_CLIP_BYTES:
        raise Refused(
            f"This file has {length / 1e6:,.0f} MB; the limit is "
            f"{settings.MAX_CLIP_BYTES / 1e6:,.0f} MB. Trim the video to the swings that matter."
        )
    if metadata.get("view", Clip.View.FACE_ON) not in Clip.View.values:
        raise Refused("The view is face-on, down-the-line or other. Choose one of them.")
    if len(metadata.get("club", "")) > LONGEST_CLUB:
        raise Refused(f"Shorten the club's name to {LONGEST_CLUB} letters.")


def check_consent(lesson: Lesson) -> None:
    """Nobody under 18 is filmed without a guardian's consent on record."""
    student = lesson.student
    if not student.may_be_filmed:
        raise Refused(
            f"{student} is under 18, and no guardian's consent is on record. Record it on "
            f"{student}'s page, then add the clip."
        )


def take_in(upload: Upload) -> str:
    """Make the clip of a finished upload; returns its address. Raises Refused."""
    lesson = _lesson(upload.owner, upload.metadata)
    check_consent(lesson)  # it may have been withdrawn while the bytes came in
    clip = receive_clip(upload, lesson)
    return reverse("clips:clip", args=[clip.pk])


def receive_clip(upload: Upload, lesson: Lesson | None = None, coach: User | None = None) -> Clip:
    """Make the clip of a finished upload and send it to a worker after the commit.

    Without a lesson the clip belongs to `coach`, or to the library of the coach who sent it.
    """
    data = upload.metadata
    clip = Clip.objects.create(
        lesson=lesson,
        coach=lesson.student.coach if lesson else coach or upload.owner,
        upload=upload,
        part=data.get("part") or Part.START,
        view=data.get("view") or Clip.View.FACE_ON,
        club=data.get("club", "").strip()[:LONGEST_CLUB],
        file_name=(data.get("filename") or "clip")[-LONGEST_NAME:],
    )
    send(clip)
    return clip


def _lesson(user: User, metadata: dict[str, str]) -> Lesson:
    key = metadata.get("lesson", "")
    lesson = None
    if key.isdecimal() and len(key) < 19:
        lesson = Lesson.objects.led_by(user).select_related("student").filter(pk=key).first()
    if lesson is None:
        raise Refused("The lesson of this clip is not there any more. Open the lesson again.")
    return lesson
