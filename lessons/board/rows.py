"""The board's rows: one a student, those who need a word first. Reads, and decides nothing else."""

from __future__ import annotations

import datetime
from collections import defaultdict
from dataclasses import dataclass, field

from django.utils import timezone

from lessons.board.word import Facts, Word, word_first
from lessons.drills.models import Assignment
from lessons.practice.models import Log
from lessons.practice.records import given_of, logs_done
from lessons.practice.ruler import Ruler, ruler
from lessons.practice.service import today_of, zone_of
from lessons.practice.share import Share, dose_share
from lessons.practice.words import ago_words, count, listed
from lessons.recaps.models import Seen
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User


@dataclass
class Row:
    """One student: the newest posted lesson, what was practised of it, and why a word is due."""

    student: Student
    today: datetime.date
    newest: Lesson | None  # posted or not
    posted: Lesson | None
    seen_on: datetime.date | None = None
    logs: list[Log] = field(default_factory=list)
    share: Share | None = None
    ruler: Ruler | None = None
    left_aside: list[str] = field(default_factory=list)
    word: Word | None = None

    @property
    def last_practised(self) -> datetime.date | None:
        return max((log.day for log in self.logs), default=None)

    @property
    def last_practised_words(self) -> str:
        last = self.last_practised
        return ago_words(last, self.today) if last else "not yet"

    @property
    def days_words(self) -> str:
        if self.ruler is None:
            return ""
        return f"{self.ruler.practised_days} of {count(self.ruler.counted_days, 'day')}"

    @property
    def share_words(self) -> str:
        percent = self.share.percent if self.share else None
        return "nothing due yet" if percent is None else f"{percent} %"

    @property
    def seen_words(self) -> str:
        return ago_words(self.seen_on, self.today) if self.seen_on else "not yet"

    @property
    def visit_words(self) -> str:
        visit = self.posted.next_visit if self.posted else None
        if visit is None:
            return "no date"
        days = (visit - self.today).days
        if days < 0:
            return f"was due {ago_words(visit, self.today)}"
        near = {0: "today", 1: "tomorrow"}
        return near.get(days, f"{visit:%a} {visit.day} {visit:%b}, in {days} days")

    @property
    def sentence(self) -> str:
        """'Practised 5 of 9 days, left the sway gate aside, wrote a note yesterday.'"""
        if self.ruler is None:
            return "No lesson is posted yet."
        if not self.ruler.counted_days:
            told = ["The lesson has just been"]
        elif not self.ruler.practised_days:
            told = ["No practice logged since the lesson"]
        else:
            told = [f"Practised {self.days_words}"]
            if self.left_aside:
                told.append(f"left {listed(self.left_aside)} aside")
        noted = max((log.day for log in self.logs if log.note), default=None)
        if noted:
            told.append(f"wrote a note {ago_words(noted, self.today)}")
        return ", ".join(told) + "."


def board_rows(coach: User) -> list[Row]:
    """A row for each current student of the coach, in the order of lessons.board.word.

    Six queries, however many students there are.
    """
    students = list(Student.objects.visible_to(coach).current().select_related("user"))
    lessons: dict[int, list[Lesson]] = defaultdict(list)
    for lesson in Lesson.objects.filter(student__in=students):
        lessons[lesson.student_id].append(lesson)
    rows = []
    for student in students:
        own = lessons[student.pk]
        posted = next((lesson for lesson in own if lesson.is_posted), None)
        rows.append(Row(student, today_of(student), own[0] if own else None, posted))
    add_practice(rows)
    add_seen(rows)
    for row in rows:
        row.word = word_first(facts_of(row))
    return sorted(rows, key=order_of)


def add_practice(rows: list[Row]) -> None:
    """Drills and logs of each row's posted lesson, its ruler and share."""
    posted = [row.posted.pk for row in rows if row.posted]
    given = defaultdict(list)
    for assignment in Assignment.objects.filter(lesson__in=posted):
        given[assignment.lesson_id].append(assignment)
    logs = defaultdict(list)
    standing = Log.objects.standing().filter(assignment__lesson__in=posted)
    for log in standing.select_related("assignment"):
        logs[log.assignment.lesson_id].append(log)
    for row in rows:
        if row.posted is None:
            continue
        drills, row.logs = given[row.posted.pk], logs[row.posted.pk]
        zone = zone_of(row.student)
        row.share = dose_share(
            [given_of(drill, row.posted, zone) for drill in drills],
            logs_done(row.logs),
            row.posted.date,
            row.today,
        )
        held = [drill for drill in drills if drill.removed_at is None]
        row.ruler = ruler(row.posted, row.logs, row.today, drills=len(held))
        aside = {part.key for part in row.share.drills if part.is_left_aside}
        row.left_aside = [drill.name for drill in held if drill.pk in aside]


def add_seen(rows: list[Row]) -> None:
    """When a student or a guardian first opened the recap."""
    by_lesson = {row.posted.pk: row for row in rows if row.posted}
    seen = Seen.objects.filter(recap__lesson__in=by_lesson).order_by("-first_at")
    for lesson, first_at in seen.exclude(user__role=User.Role.COACH).values_list(
        "recap__lesson", "first_at"
    ):
        row = by_lesson[lesson]
        row.seen_on = timezone.localdate(first_at, zone_of(row.student))


def facts_of(row: Row) -> Facts:
    """What the rule of who comes first looks at."""
    zone = zone_of(row.student)
    posted, newest = row.posted, row.newest
    unposted = newest if newest is not None and not newest.is_posted else None
    return Facts(
        today=row.today,
        posted_on=timezone.localdate(posted.posted_at, zone) if posted else None,
        seen=row.seen_on is not None,
        hurt_on=max((log.day for log in row.logs if log.hurt), default=None),
        has_drills=bool(row.share and row.share.drills),
        last_practised=row.last_practised,
        left_aside=tuple(row.left_aside),
        next_visit=posted.next_visit if posted else None,
        unposted_date=unposted.date if unposted else None,
    )


def order_of(row: Row) -> tuple[int, datetime.date, str]:
    """Rows with a word due first, by the rule; then by the next visit, then by name."""
    rank = row.word.rank if row.word else 99
    visit = row.posted.next_visit if row.posted else None
    return rank, visit or datetime.date.max, row.student.name.casefold()
