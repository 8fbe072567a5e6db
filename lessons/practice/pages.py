"""What the pages show of practice: the student's drills of today, the coach's history."""

from __future__ import annotations

import datetime
import time
import uuid
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

from django.http import HttpRequest

from lessons.drills.models import Assignment
from lessons.practice.forms import MoreForm
from lessons.practice.models import Log, Rest
from lessons.practice.records import pauses_of
from lessons.practice.ruler import Ruler, ruler
from lessons.practice.service import today_of, why_not, zone_of
from lessons.practice.share import AS_SET_PERCENT, Pause
from lessons.practice.weeks import Week, week_of
from lessons.practice.who import who_of
from lessons.practice.words import count
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User


@dataclass
class Entry:
    """One log as a settled line, with the form to say more; open if that form was refused."""

    log: Log
    form: MoreForm

    @property
    def is_open(self) -> bool:
        return self.form.is_bound and not self.form.is_valid()


@dataclass
class TodaysDrill:
    """One drill of the list: what was done of it today, yesterday and this week."""

    assignment: Assignment
    today: datetime.date
    week: Week
    logs: list[Log]
    may_log: bool
    refused: MoreForm | None = None
    trouble: str = ""
    client_ids: list[uuid.UUID] = field(default_factory=lambda: [uuid.uuid4() for _ in range(3)])

    def on(self, day: datetime.date) -> list[Entry]:
        return [
            Entry(log, self.refused if self.refused and self.refused.log == log else MoreForm(log))
            for log in reversed(self.logs)
            if log.day == day
        ]

    @cached_property
    def done_today(self) -> list[Entry]:
        return self.on(self.today)

    @cached_property
    def done_yesterday(self) -> list[Entry]:
        return self.on(self.yesterday)

    @property
    def only_entry(self) -> Entry | None:
        return self.done_today[0] if len(self.done_today) == 1 else None

    @property
    def yesterday(self) -> datetime.date:
        return self.today - datetime.timedelta(days=1)

    @property
    def may_log_yesterday(self) -> bool:
        started = self.yesterday >= self.assignment.lesson.date
        return self.may_log and started and not self.done_yesterday

    @property
    def today_words(self) -> str:
        """'Done today', or how it differs from the dose."""
        percent = sum(entry.log.percent for entry in self.done_today)
        if percent > AS_SET_PERCENT:
            return "Done today, and more than was set"
        return "Done today" if percent == AS_SET_PERCENT else "Some of it done today"

    @property
    def week_words(self) -> str:
        """'2 of 5 days this week'."""
        done = len({log.day for log in self.logs if log.day in self.week})
        asked = self.assignment.days_a_week
        if done > asked:
            return f"{count(done, 'day')} this week, {done - asked} more than set"
        return f"{done} of {count(asked, 'day')} this week"


@dataclass
class LessonPractice:
    """The practice of one lesson as its student reads it."""

    lesson: Lesson
    today: datetime.date
    ruler: Ruler
    drills: list[TodaysDrill]
    closed: str  # why nothing can be logged any more, or empty
    may_log: bool

    @property
    def headline(self) -> str:
        """'19 days until your next lesson'."""
        left = self.ruler.days_left
        if left is None:
            return "No date yet for your next lesson"
        if left < 0:
            return "The time for these drills is over"
        if left == 0:
            return "Your next lesson is today"
        return f"{count(left, 'day')} until your next lesson"

    @property
    def done_today(self) -> int:
        return sum(1 for drill in self.drills if drill.done_today)

    @property
    def is_all_done(self) -> bool:
        return self.done_today == len(self.drills)

    @property
    def today_words(self) -> str:
        """Always one line, so that what stands below does not move under the thumb."""
        if self.closed or not self.drills:
            return ""
        if self.is_all_done:
            return "All drills done today"
        drills = count(len(self.drills), "drill")
        return f"{self.done_today} of {drills} done today" if self.done_today else f"{drills} today"


def may_log(user: User) -> bool:
    """Students and their guardians log; the coach reads."""
    return not user.is_coach


def lesson_practice(
    lesson: Lesson, user: User, refused: MoreForm | None = None, trouble: str = ""
) -> LessonPractice:
    """All that the student's page shows of a lesson's practice; four queries.

    `refused` is a form to show again with its errors, `trouble` a sentence for the drill shown.
    """
    today = today_of(lesson.student)
    given = lesson.assignments.holding().select_related("clip")
    logs = list(Log.objects.standing().filter(assignment__lesson=lesson).select_related("by"))
    closed = why_not(lesson, today) if lesson.is_posted else ""
    open_to_user = may_log(user) and not closed
    week = week_of(lesson.date, today)
    pauses = pauses_of([lesson.student])[lesson.student_id]
    drills = []
    for assignment in given:
        assignment.lesson = lesson
        own = [log for log in logs if log.assignment_id == assignment.pk]
        for log in own:
            log.assignment = assignment
        drills.append(TodaysDrill(assignment, today, week, own, open_to_user, refused, trouble))
    return LessonPractice(
        lesson=lesson,
        today=today,
        ruler=ruler(lesson, logs, today, len(drills), pauses),
        drills=drills,
        closed=closed,
        may_log=open_to_user,
    )


def read_practice(request: HttpRequest, lesson: Lesson) -> dict[str, object]:
    """Fills "read.practice" of the student's lesson page."""
    return {
        "practice": lesson_practice(lesson, request.user),
        "who": who_of(request.user),
        "zone": str(zone_of(lesson.student)),
        "made": time.time(),
    }


@dataclass
class PastPractice:
    """One lesson's practice as the coach reads it: the ruler, rests and every log, newest first."""

    lesson: Lesson
    ruler: Ruler
    logs: list[Log]
    rests: list[Rest] = field(default_factory=list)


def practice_history(student: Student) -> list[PastPractice]:
    """Every posted lesson of a student with its logs, newest first; four queries."""
    today = today_of(student)
    lessons = list(student.lessons.posted().prefetch_related("assignments"))
    logs = list(
        Log.objects.standing()
        .filter(assignment__lesson__in=lessons)
        .select_related("assignment", "by")
    )
    rests = list(Rest.objects.standing().filter(student=student))
    return [one_past(lesson, logs, today, rests) for lesson in lessons]


def one_past(
    lesson: Lesson, logs: Iterable[Log], today: datetime.date, rests: Iterable[Rest]
) -> PastPractice:
    own = [log for log in logs if log.assignment.lesson_id == lesson.pk]
    held = [given for given in lesson.assignments.all() if given.removed_at is None]
    pauses = [Pause(rest.first, rest.last) for rest in rests]
    drawn = ruler(lesson, own, today, len(held), pauses)
    within = [rest for rest in rests if rest.last >= lesson.date and rest.first <= drawn.last_day]
    return PastPractice(lesson, drawn, own, within)


def student_practice(request: HttpRequest, student: Student) -> dict[str, object]:
    """Fills "student.page" of the coach's page about one student."""
    return {"history": practice_history(student), "today": today_of(student)}
