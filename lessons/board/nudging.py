"""Sending a nudge: to whom it goes, with which words it begins, and not twice by accident."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from lessons.board import word
from lessons.board.models import Nudge, NudgeWords
from lessons.practice.words import listed
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.links import sign_in_url
from portal.accounts.models import User
from portal.notices.telling import tell, wants

SOON = datetime.timedelta(hours=24)


class NotSentError(Exception):
    """A nudge that did not go out; the message is a sentence for the coach."""


class SoonAgainError(NotSentError):
    """One went out less than SOON ago, and the coach did not say that this is meant."""


@dataclass(frozen=True)
class Usual:
    """Words to begin with for those who have none of their own yet."""

    key: str
    name: str
    text: str


USUAL = (
    Usual(
        "reminder",
        "A reminder",
        "A few minutes of {drill} this week do more than a long stretch later. One set counts.",
    ),
    Usual(
        "how",
        "How is it going",
        "How is the practice going? If something does not work or does not feel right, tell me "
        "and we will change it.",
    ),
    Usual(
        "hurt",
        "Something hurt",
        "You logged that something hurt. Please leave that drill out for now, and ask a doctor or "
        "a physiotherapist before you go on with it. Tell me how it is.",
    ),
    Usual(
        "read",
        "The recap waits",
        "What we found in your lesson is written up and waits for you. It takes three minutes to "
        "read, and says what to practise.",
    ),
    Usual("visit", "A new date", "Your next lesson was due. Which day would suit you?"),
)
BY_RANK = {word.HURT: "hurt", word.UNSEEN: "read", word.OVER: "visit", word.DRIFTING: "how"}


def usual_for(rank: int | None) -> Usual:
    """The usual words for a reason of lessons.board.word."""
    wanted = BY_RANK.get(rank, "reminder") if rank is not None else "how"
    return next(usual for usual in USUAL if usual.key == wanted)


def fill_in(text: str, student: Student, lesson: Lesson | None, drills: Sequence[str]) -> str:
    """The words with {name}, {drill} and {date} filled in; the coach reads and edits them after."""
    visit = lesson.next_visit if lesson else None
    values = {
        "{name}": student.name.partition(" ")[0],
        "{drill}": listed(drills) if drills else "your drills",
        "{date}": f"{visit:%A} {visit.day} {visit:%B}" if visit else "your next lesson",
    }
    for place, value in values.items():
        text = text.replace(place, value)
    return text


def addressees(student: Student) -> list[User]:
    """Who gets a nudge: those it is meant for who have not switched nudges off."""
    return [user for user in meant_for(student) if wants(user, "nudge")]


def meant_for(student: Student) -> list[User]:
    """The student or, of one under 18, the guardians; only who can sign in."""
    if student.is_junior:
        guardians = student.guardians.filter(user__isnull=False).select_related("user")
        return [guardian.user for guardian in guardians.order_by("pk")]
    return [student.user] if student.user else []


def why_nobody(student: Student) -> str:
    """Why a nudge would reach nobody, as a sentence; for when `addressees` is empty."""
    if meant_for(student):
        whose = f"{student.name}'s guardians have" if student.is_junior else f"{student.name} has"
        return f"{whose} switched nudges off. Say it in the next lesson, or call."
    if student.is_junior:
        return (
            f"{student.name} is under 18, so this would go to a guardian, "
            "and no guardian has signed in yet."
        )
    return f"{student.name} has not signed in yet, so nothing can be sent."


def sent_soon(student: Student) -> Nudge | None:
    """The nudge that went out less than SOON ago, if there is one."""
    since = timezone.now() - SOON
    return Nudge.objects.filter(student=student, created_at__gt=since).first()


def send_nudge(
    student: Student,
    by: User,
    text: str,
    *,
    key: uuid.UUID,
    again: bool = False,
    drills: Sequence[str] = (),
) -> Nudge:
    """Keep a nudge and write the letters; the same `key` twice sends one and gives it back.

    Raises NotSentError if it would reach nobody, SoonAgainError if another one went out less than
    SOON ago and `again` does not say that this is meant.
    """
    users = addressees(student)
    if not users:
        raise NotSentError(why_nobody(student))
    with transaction.atomic():
        Student.objects.select_for_update().get(pk=student.pk)
        kept = Nudge.objects.filter(student=student, key=key).first()
        if kept is not None:
            return kept
        if not again and sent_soon(student):
            raise SoonAgainError(
                f"A nudge about {student.name} went out less than a day ago. "
                "Send this one too only if you mean to."
            )
        nudge = Nudge.objects.create(
            key=key, student=student, by=by, text=text, drills="\n".join(drills)
        )
        nudge.sent_to.set(users)
        for user in users:
            write_letter(nudge, user, by)
    return nudge


def write_letter(nudge: Nudge, user: User, by: User) -> None:
    """The letter of a nudge, with a link that signs in and leads to the newest posted lesson."""
    student = nudge.student
    lesson = student.lessons.posted().first()
    page = reverse("recaps:read", args=[lesson.pk]) if lesson else "/"
    context = {
        "nudge": nudge,
        "drills": nudge.drills.splitlines(),
        "student": student,
        "to": user,
        "coach": by,
        "is_own": user == student.user,
        "link": sign_in_url(user, page),
    }
    tell(user, "nudge", "board/nudge", context, page)


def keep_words(coach: User, name: str, text: str) -> NudgeWords:
    """Keep words to begin with under a name; the same name again takes the new words."""
    words, _ = NudgeWords.objects.update_or_create(coach=coach, name=name, defaults={"text": text})
    return words
