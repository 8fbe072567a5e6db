"""The board's rows: one a student, those who need a word first. Reads, and decides nothing else."""

from __future__ import annotations

import datetime
from collections import defaultdict
from dataclasses import dataclass, field
from functools import cached_property

from django.db.models import OuterRef, Subquery
from django.utils import timezone

from lessons.board.drift import Drift, drift
from lessons.board.entries import Entry, entries_of, minutes_practised
from lessons.board.feel import FeelPlot, feel_plot
from lessons.board.models import Nudge
from lessons.board.word import Facts, Word, word_first
from lessons.drills.models import Assignment
from lessons.practice.models import Rest
from lessons.practice.records import dose_of, given_of, logs_done
from lessons.practice.ruler import Ruler, ruler
from lessons.practice.service import today_of, zone_of
from lessons.practice.share import Pause, Share, dose_share
from lessons.practice.words import ago_words, count, date_words, listed
from lessons.questions.unread import NONE, Unread, unread_by_student
from lessons.recaps.models import Seen
from lessons.students.models import Student
from lessons.visits.models import Lesson
from portal.accounts.models import User

VISIT_DAYS = 7  # 'this week': today and the six days after it


@dataclass
class Row:
    """One student: the newest posted lesson, what was practised of it, and why a word is due.

    What only a shown row needs (the ruler, the plot) is made when it is first asked for.
    """

    student: Student
    today: datetime.date
    newest: Lesson | None  # posted or not
    posted: Lesson | None
    seen_on: datetime.date | None = None
    drills: list[Assignment] = field(default_factory=list)
    logs: list[Entry] = field(default_factory=list)
    share: Share | None = None
    drift: Drift | None = None
    left_aside: list[str] = field(default_factory=list)
    rests: list[Rest] = field(default_factory=list)
    unread: Unread = NONE
    nudged_at: datetime.datetime | None = None
    word: Word | None = None

    @property
    def held(self) -> list[Assignment]:
        """The drills that are still asked."""
        return [drill for drill in self.drills if drill.removed_at is None]

    @cached_property
    def ruler(self) -> Ruler | None:
        if self.posted is None:
            return None
        return ruler(self.posted, self.logs, self.today, len(self.held), self.pauses)

    @cached_property
    def feel(self) -> FeelPlot | None:
        if self.posted is None:
            return None
        return feel_plot(self.logs, self.posted.date, max(self.today, self.posted.date))

    @cached_property
    def minutes(self) -> int:
        if self.posted is None:
            return 0
        zone = zone_of(self.student)
        doses = [dose_of(drill, self.posted, zone) for drill in self.drills]
        return minutes_practised(doses, self.logs)

    @property
    def pauses(self) -> list[Pause]:
        return [Pause(rest.first, rest.last) for rest in self.rests]

    @property
    def resting(self) -> Rest | None:
        """The rest that today is part of."""
        return next((rest for rest in self.rests if rest.first <= self.today <= rest.last), None)

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
    def minutes_words(self) -> str:
        return f"about {self.minutes}" if self.minutes else "none yet"

    @property
    def share_words(self) -> str:
        percent = self.share.percent if self.share else None
        return "nothing due yet" if percent is None else f"{percent} %"

    @property
    def seen_words(self) -> str:
        return ago_words(self.seen_on, self.today) if self.seen_on else "not yet"

    @property
    def unread_words(self) -> str:
        """'2 questions and 1 check-in', new to the coach; empty if there is nothing new."""
        kinds = [(self.unread.questions, "question"), (self.unread.check_ins, "check-in")]
        return listed([count(number, noun) for number, noun in kinds if number])

    @property
    def nudged_words(self) -> str:
        if self.nudged_at is None:
            return ""
        day = timezone.localdate(self.nudged_at, zone_of(self.student))
        return f"Nudged {ago_words(day, self.today)}"

    @property
    def days_to_visit(self) -> int | None:
        visit = self.posted.next_visit if self.posted else None
        return None if visit is None else (visit - self.today).days

    @property
    def is_this_week(self) -> bool:
        days = self.days_to_visit
        return days is not None and 0 <= days < VISIT_DAYS

    @property
    def visit_words(self) -> str:
        days = self.days_to_visit
        if self.posted is None or days is None or self.posted.next_visit is None:
            return "no date"
        visit = self.posted.next_visit
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
        if self.resting and not self.resting.is_hurt:
            told.append(f"resting until {date_words(self.resting.last, self.today)}")
        elif self.ruler.paused_days:
            told.append(f"{count(self.ruler.paused_days, 'day')} of rest")
        noted = max((log.day for log in self.logs if log.noted), default=None)
        if noted:
            told.append(f"wrote a note {ago_words(noted, self.today)}")
        if self.unread:
            told.append(f"{self.unread_words} not read yet")
        return ", ".join(told) + "."


def board_rows(coach: User, only: Student | None = None) -> list[Row]:
    """A row for each current student of the coach, in the order of lessons.board.word.

    With `only` the row of one student. Seven queries, however many students there are.
    """
    theirs = Lesson.objects.filter(student=OuterRef("pk"))
    current = Student.objects.visible_to(coach).current()
    students = list(
        (current.filter(pk=only.pk) if only else current)
        .select_related("user")
        .annotate(
            newest_lesson=Subquery(theirs.values("pk")[:1]),
            posted_lesson=Subquery(theirs.posted().values("pk")[:1]),
            nudged_at=Subquery(
                Nudge.objects.filter(student=OuterRef("pk")).values("created_at")[:1]
            ),
        )
    )
    wanted = {s.newest_lesson for s in students} | {s.posted_lesson for s in students}
    # Not in_bulk: with SQLite it asks once for every 999 keys
    lessons = {one.pk: one for one in Lesson.objects.filter(pk__in=wanted - {None})}
    unread = unread_by_student(coach, students)
    rests = defaultdict(list)
    for rest in Rest.objects.standing().filter(student__in=students):
        rests[rest.student_id].append(rest)
    rows = [
        Row(
            student,
            today_of(student),
            newest=lessons.get(student.newest_lesson),
            posted=lessons.get(student.posted_lesson),
            rests=rests[student.pk],
            unread=unread.get(student.pk, NONE),
            nudged_at=student.nudged_at,
        )
        for student in students
    ]
    add_practice(rows)
    add_seen(rows)
    for row in rows:
        row.word = word_first(facts_of(row))
    return sorted(rows, key=order_of)


def add_practice(rows: list[Row]) -> None:
    """Drills and logs of each row's posted lesson, its share, and whether practice falls off."""
    posted = [row.posted.pk for row in rows if row.posted]
    given = defaultdict(list)
    # The words of a drill are long, and a row needs none of them but the name
    needed = ("lesson", "name", *Assignment.DOSE_FIELDS, "created_at", "removed_at")
    for assignment in Assignment.objects.filter(lesson__in=posted).only(*needed):
        given[assignment.lesson_id].append(assignment)
    logs = entries_of(posted)
    for row in rows:
        if row.posted is None:
            continue
        row.drills, row.logs = given[row.posted.pk], logs.get(row.posted.pk, [])
        zone = zone_of(row.student)
        row.share = dose_share(
            [given_of(drill, row.posted, zone) for drill in row.drills],
            logs_done(row.logs),
            row.posted.date,
            row.today,
            row.pauses,
        )
        aside = {part.key for part in row.share.drills if part.is_left_aside}
        row.left_aside = [drill.name for drill in row.held if drill.pk in aside]
        row.drift = drift_of(row, row.posted, zone)


def drift_of(row: Row, posted: Lesson, zone: datetime.tzinfo) -> Drift | None:
    posted_on = timezone.localdate(posted.posted_at, zone) if posted.posted_at else posted.date
    return drift(
        {entry.day for entry in row.logs if entry.percent},
        given_on=max(posted.date, posted_on),
        until=posted.next_visit,
        today=row.today,
        asked=max((drill.days_a_week for drill in row.held), default=0),
        pauses=row.pauses,
    )


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
    posted_on = timezone.localdate(posted.posted_at, zone) if posted else None
    resting = row.resting
    return Facts(
        today=row.today,
        posted_on=posted_on,
        seen=row.seen_on is not None,
        hurt_on=max((log.day for log in row.logs if log.hurt), default=None),
        hurt_until=resting.last if resting and resting.is_hurt else None,
        is_resting=resting is not None,
        waiting=row.unread_words,
        has_drills=bool(row.share and row.share.drills),
        last_practised=row.last_practised,
        rested=rested_since(row, row.last_practised or posted_on),
        drift=row.drift,
        left_aside=tuple(row.left_aside),
        next_visit=posted.next_visit if posted else None,
        unposted_date=unposted.date if unposted else None,
    )


def rested_since(row: Row, day: datetime.date | None) -> int:
    """Days of rest after a day and before today."""
    if day is None or not row.rests:
        return 0
    between = (day + datetime.timedelta(step) for step in range(1, (row.today - day).days))
    return sum(1 for one in between if any(one in pause for pause in row.pauses))


def order_of(row: Row) -> tuple[int, datetime.date, str]:
    """Rows with a word due first, by the rule; then by the next visit, then by name."""
    rank = row.word.rank if row.word else 99
    visit = row.posted.next_visit if row.posted else None
    return rank, visit or datetime.date.max, row.student.name.casefold()
