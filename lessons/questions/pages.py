"""What other pages show of threads."""

from __future__ import annotations

from django.http import HttpRequest

from lessons.clips.models import Clip, Still
from lessons.drills.models import Assignment
from lessons.questions.about import subjects_of
from lessons.questions.forms import MessageForm
from lessons.questions.models import Message, Thread
from lessons.students.models import Student
from lessons.visits.models import Lesson

LATEST = 5


def read_questions(request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """Fills "read.after": the lesson's threads, and a place to ask."""
    threads = Thread.objects.of_lesson(lesson).for_list(request.user)
    asks = lesson.is_posted and not request.user.is_coach
    return {
        "threads": threads,
        "asks": asks,
        "form": MessageForm() if asks else None,
        "subjects": subjects_of(lesson) if asks else [],
    }


def student_questions(request: HttpRequest, student: Student) -> dict[str, object]:
    """Fills "student.page": the newest threads, unread ones first."""
    threads = list(Thread.objects.filter(student=student).for_list(request.user)[: LATEST + 1])
    return {"threads": threads[:LATEST], "has_more": len(threads) > LATEST}


def ask_about_still(request: HttpRequest, still: Still) -> dict[str, object]:
    """Fills "read.still": asking about the picture that is looked at."""
    message = Message.objects.filter(clip=still.clip_id).first()
    lesson = still.clip.lesson
    asks = lesson is not None and lesson.is_posted and not request.user.is_coach
    return {"lesson": lesson if asks else None, "thread": message.thread if message else None}


def ask_about_given(request: HttpRequest, given: Assignment) -> dict[str, object]:
    """Fills "read.given": asking about the drill that is looked at."""
    asks = given.lesson.is_posted and not request.user.is_coach
    return {"lesson": given.lesson if asks else None}


def send_still(request: HttpRequest, still: Still) -> dict[str, object]:
    """Fills "desk.still": the thread that a still on the stage can be sent back into."""
    asked = Thread.objects.filter(still=still)
    sent = Thread.objects.filter(messages__clip=still.clip_id)
    thread = (asked | sent).distinct().select_related("student").first()
    return {"thread": thread, "form": MessageForm(initial={"still": still.pk})}


def about_clip(request: HttpRequest, clip: Clip) -> dict[str, object]:
    """Fills "clip.about": where a check-in clip was sent, and by whom."""
    sent = Message.objects.filter(clip=clip).select_related("thread__student").first()
    return {"message": sent, "thread": sent.thread if sent else None}
