"""A clip that a student sends between visits: an upload of the kind 'check-in'."""

from __future__ import annotations

from lessons.clips.intake import check_video
from lessons.clips.service import receive_clip
from lessons.questions.models import Thread
from lessons.questions.service import check_in
from lessons.students.models import Student
from portal.accounts.models import User
from portal.files.kinds import Refused
from portal.files.models import Upload

LONGEST_WORD = 500
NOT_THERE = "You can't send a clip here. Open your lesson again, and send it from there."


def check_check_in(user: User, metadata: dict[str, str], length: int) -> None:
    """May this user send a clip of so many bytes as, or for, the student the metadata name?

    Metadata: student (their key), thread (a key, if it is an answer in one), view, club, text,
    filename. Raises Refused with a sentence.
    """
    student = _student(user, metadata)
    _thread(student, metadata)
    check_consent(student)
    check_video(metadata, length)
    if len(metadata.get("text", "")) > LONGEST_WORD:
        raise Refused(f"Shorten the words to {LONGEST_WORD} letters, or write them in the thread.")


def take_check_in(upload: Upload) -> str:
    """Make the clip of a finished upload and put it in its thread; returns the thread's address."""
    student = _student(upload.owner, upload.metadata)
    check_consent(student)  # it may have been withdrawn while the bytes came in
    thread = _thread(student, upload.metadata)
    clip = receive_clip(upload, coach=student.coach)
    text = upload.metadata.get("text", "").strip()
    return check_in(clip, student, upload.owner, text, thread).thread.get_absolute_url()


def check_consent(student: Student) -> None:
    """Nobody under 18 sends a clip without a guardian's consent on record."""
    if not student.may_be_filmed:
        raise Refused(
            f"{student} is under 18, and no guardian's consent is on record. A parent or "
            "guardian gives it on their own page; then send the clip again."
        )


def may_send(user: User, student: Student) -> bool:
    """Students send their own clips, guardians those of a junior; the coach films in lessons."""
    return not user.is_coach and Student.objects.visible_to(user).filter(pk=student.pk).exists()


def _student(user: User, metadata: dict[str, str]) -> Student:
    key = _key(metadata, "student")
    if user.is_coach or key is None:
        raise Refused(NOT_THERE)
    seen = Student.objects.visible_to(user).select_related("coach", "user")
    student = seen.filter(pk=key).first()
    if student is None:
        raise Refused(NOT_THERE)
    return student


def _thread(student: Student, metadata: dict[str, str]) -> Thread | None:
    if not metadata.get("thread"):
        return None
    key = _key(metadata, "thread")
    thread = Thread.objects.filter(student=student, pk=key).first() if key else None
    if thread is None:
        raise Refused("That question is not there any more. Send the clip from your lesson.")
    return thread


def _key(metadata: dict[str, str], name: str) -> int | None:
    key = metadata.get(name, "")
    return int(key) if key.isascii() and key.isdecimal() and len(key) < 19 else None
