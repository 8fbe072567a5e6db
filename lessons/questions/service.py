"""What can be done in threads: ask, begin one as the coach, answer, send a check-in, read."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import IntegrityError, transaction

from lessons.clips.models import Clip, Still
from lessons.questions.about import Subject
from lessons.questions.models import Message, Reading, Thread
from lessons.students.models import Student
from portal.accounts.links import sign_in_url
from portal.accounts.models import User
from portal.notices.telling import tell


def ask(subject: Subject, by: User, text: str, client_id: uuid.UUID) -> Message:
    """Begin a thread about a thing of a lesson, and write to the coach."""
    return begin(subject.lesson.student, by, text, client_id, subject)


def begin(
    student: Student, by: User, text: str, client_id: uuid.UUID, subject: Subject | None
) -> Message:
    """Begin a thread about a thing of a lesson or about none, and write to the others in it."""
    kept = kept_before(by, text, client_id)
    if kept is not None:
        return kept
    thread = Thread(student=student, about=Thread.About.RECAP)
    if subject is not None:
        thread.about, thread.lesson = subject.kind, subject.lesson
        thread.still, thread.given = subject.still, subject.given
    return say(thread, by, text=text, client_id=client_id)


def reply(
    thread: Thread, by: User, text: str, client_id: uuid.UUID, still: Still | None = None
) -> Message:
    """Answer in a thread, with a still if one is sent back, and write to the others in it."""
    kept = kept_before(by, text, client_id, thread)
    return kept or say(thread, by, text=text, client_id=client_id, still=still)


def check_in(clip: Clip, student: Student, by: User, text: str, thread: Thread | None) -> Message:
    """Put a clip that has come in into its thread, or begin one with it."""
    if thread is None:
        newest = student.lessons.posted().first()
        thread = Thread(student=student, about=Thread.About.CHECK_IN, lesson=newest)
    return say(thread, by, text=text, client_id=uuid.uuid4(), clip=clip)


def kept_before(
    by: User, text: str, client_id: uuid.UUID, thread: Thread | None = None
) -> Message | None:
    """The message that the same page has sent already: the answer to it was lost on the way."""
    kept = Message.objects.filter(client_id=client_id, by=by, text=text)
    return (kept.filter(thread=thread) if thread else kept).first()


def say(
    thread: Thread,
    by: User,
    *,
    text: str,
    client_id: uuid.UUID,
    clip: Clip | None = None,
    still: Still | None = None,
) -> Message:
    """Keep a message, and tell the others of it. One page's message sent twice is kept once.

    Other words under an id that is taken are no repetition: they are kept under a new id.
    """
    if Message.objects.filter(client_id=client_id).exists():
        client_id = uuid.uuid4()
    values = {"by": by, "by_name": by.name, "text": text, "clip": clip, "still": still}
    try:
        with transaction.atomic():
            if thread.pk is None:
                thread.save()
            message = Message.objects.create(thread=thread, client_id=client_id, **values)
            Thread.objects.filter(pk=thread.pk).update(last_at=message.created_at)
            tell_of(message)
    except IntegrityError:  # the same form, sent twice at once: the other one won
        return Message.objects.get(client_id=client_id, by=by)
    return message


def tell_of(message: Message) -> None:
    """Write to those who did not write it: the coach, or the student and a junior's guardians."""
    thread, student = message.thread, message.thread.student
    if message.by == student.coach:
        is_first = not Message.objects.filter(thread=thread).exclude(pk=message.pk).exists()
        letter = "questions/begun" if is_first else "questions/reply"
        for user in family_of(student):
            values = {"link": sign_in_url(user, thread.get_absolute_url())}
            _write("reply", letter, user, message, values)
    else:
        link = settings.SITE_URL + thread.get_absolute_url()
        _write("question", "questions/question", student.coach, message, {"link": link})


def family_of(student: Student) -> list[User]:
    """Who reads along with a student: themself, and the guardians while they are under 18."""
    users = [student.user] if student.user else []
    if student.is_junior:
        guardians = student.guardians.filter(user__isnull=False).select_related("user")
        users += [guardian.user for guardian in guardians]
    return users


def _write(kind: str, letter: str, to: User, message: Message, values: dict[str, object]) -> None:
    student = message.thread.student
    context = {
        "to": to,
        "message": message,
        "thread": message.thread,
        "student": student,
        "coach": student.coach,
        "is_own": to == student.user,
        **values,
    }
    tell(to, kind, letter, context, message.thread.get_absolute_url())


def mark_read(thread: Thread, user: User) -> None:
    """The person has the thread's messages before them, up to the newest there is now."""
    newest = Message.objects.filter(thread=thread).order_by("-pk").values_list("pk", flat=True)
    up_to = newest.first() or 0
    reading, is_new = Reading.objects.get_or_create(
        thread=thread, user=user, defaults={"up_to": up_to}
    )
    if not is_new:
        reading.move_to(up_to)
