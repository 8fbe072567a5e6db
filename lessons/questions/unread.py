"""What other rooms ask of threads, each in a fixed number of queries."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from django.db.models import Count, Q
from django.http import HttpRequest

from lessons.questions.models import Message, Thread, ThreadQuerySet
from lessons.students.models import Student
from portal.accounts.models import User


@dataclass(frozen=True)
class Unread:
    """How many messages of a student are new to somebody: words, and check-in clips."""

    questions: int = 0
    check_ins: int = 0

    def __bool__(self) -> bool:
        return bool(self.questions or self.check_ins)


NONE = Unread()


def unread_for(user: User) -> int:
    """How many messages are new to the person, in all the threads they see. One query."""
    return Message.objects.visible_to(user).unread_by(user).count()


def unread_in_bar(request: HttpRequest) -> dict[str, object]:
    """For every page's bar: `unread_messages`, asked of the database only if a page shows it."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {}
    return {"unread_messages": partial(unread_for, user)}


def unread_by_student(user: User, students: Iterable[Student | int]) -> dict[int, Unread]:
    """New messages by the student's key; students without any are left out. One query."""
    new = Message.objects.unread_by(user).filter(thread__student__in=list(students)).order_by()
    clips = Count("pk", filter=Q(clip__isnull=False))
    rows = new.values("thread__student").annotate(clips=clips, all=Count("pk"))
    return {row["thread__student"]: Unread(row["all"] - row["clips"], row["clips"]) for row in rows}


def questions_of(student: Student) -> ThreadQuerySet:
    """All threads of a student, the one that was last written in first."""
    return Thread.objects.filter(student=student).select_related("lesson", "still", "given")
