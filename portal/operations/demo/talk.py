"""What the demo's people asked and were answered between visits."""

from __future__ import annotations

import datetime
import uuid

from django.utils import timezone

from lessons.questions.about import Subject
from lessons.questions.models import Message, Thread
from lessons.questions.service import ask, begin, mark_read, reply
from lessons.students.models import Student

# Who, about which drill (or the lesson), the question, the coach's answer, and how many days ago
TALK: tuple[tuple[str, str, str, str, int], ...] = (
    (
        "Tobias Renn",
        "Sway gate",
        "When I get tired I touch the stick. Do I move it back, or do fewer?",
        "Leave it where it is and do one set less. Ten good ones beat thirty tired ones.",
        3,
    ),
    (
        "Lena Osei",
        "",
        "The 60 metre shots now fly too far. Shorter swing, or less loft?",
        "",
        1,
    ),
)
# To whom the coach wrote first, what, and how many days ago
BEGUN: tuple[tuple[str, str, int], ...] = (
    (
        "Dov Hartigan",
        "How is the shoulder? If half swings are comfortable, two sets of feet together are "
        "plenty. If they are not, leave it and ask your physiotherapist first.",
        2,
    ),
)


def make_talk() -> None:
    """The threads, with their letters; what has no answer yet is new to the other side."""
    for name, words, days_ago in BEGUN:
        student = Student.objects.select_related("user", "coach").get(name=name)
        subject = Subject(student.lessons.posted().first())
        written = begin(student, student.coach, words, uuid.uuid4(), subject)
        at = timezone.now() - datetime.timedelta(days=days_ago)
        Message.objects.filter(pk=written.pk).update(created_at=at)
        Thread.objects.filter(pk=written.thread_id).update(created_at=at, last_at=at)
    for name, drill, question, answer, days_ago in TALK:
        student = Student.objects.select_related("user", "coach").get(name=name)
        lesson = student.lessons.posted().first()
        given = lesson.assignments.filter(name=drill).first() if drill else None
        subject = Subject(lesson, given=given)
        asked = ask(subject, student.user, question, uuid.uuid4())
        thread = asked.thread
        at = timezone.now() - datetime.timedelta(days=days_ago)
        Message.objects.filter(pk=asked.pk).update(created_at=at)
        Thread.objects.filter(pk=thread.pk).update(created_at=at, last_at=at)
        if answer:
            mark_read(thread, student.coach)
            said = reply(thread, student.coach, answer, uuid.uuid4())
            later = at + datetime.timedelta(hours=5)
            Message.objects.filter(pk=said.pk).update(created_at=later)
            Thread.objects.filter(pk=thread.pk).update(last_at=later)
