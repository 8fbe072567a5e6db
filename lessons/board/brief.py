"""What a coach reads before the next visit: set and done, said, asked, and what to check first."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field

from lessons.board.feel import FeelPlot
from lessons.board.models import Nudge, Preparation
from lessons.board.rows import Row, board_rows
from lessons.clips.models import Swing
from lessons.clips.tempo import tempo_of
from lessons.drills.models import Assignment
from lessons.marks.measures import shown_measure
from lessons.marks.models import MarkingError
from lessons.marks.service import marks_of
from lessons.marks.sight import ERROR_PX, Sight
from lessons.practice.models import Log, Rest
from lessons.practice.ruler import Ruler, ruler
from lessons.practice.service import today_of
from lessons.practice.share import DrillShare
from lessons.practice.words import ago_words, count, date_words, listed
from lessons.questions.models import Thread
from lessons.questions.unread import questions_of
from lessons.recaps.models import Finding, Recap
from lessons.students.models import Student
from lessons.visits.models import Lesson, Part

# What one sheet holds beside the rest
PRINTED_NOTES = 6
PRINTED_THREADS = 4


@dataclass(frozen=True)
class DrillBrief:
    """One drill of the lesson: its ruler, and its part of the share."""

    given: Assignment
    ruler: Ruler
    part: DrillShare

    @property
    def words(self) -> str:
        """'5 of 9 days; 5 of 6.4 days' doses'."""
        days = f"{self.ruler.practised_days} of {count(self.ruler.counted_days, 'day')}"
        if not self.part.due_days:
            return days
        done, due = round(self.part.counted_days, 1), round(self.part.due_days, 1)
        return f"{days}; {done:g} of {due:g} days' doses"


@dataclass(frozen=True)
class Measured:
    """A measure on a still of the recap, or a swing's tempo; in words with its plus-or-minus."""

    where: str
    part: str
    words: str


@dataclass
class Brief:
    """All that the page shows. `row` is the student's row of the board."""

    student: Student
    today: datetime.date
    row: Row | None = None
    recap: Recap | None = None
    drills: list[DrillBrief] = field(default_factory=list)
    notes: list[Log] = field(default_factory=list)
    hurt: list[Log] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    measured: list[Measured] = field(default_factory=list)
    threads: list[Thread] = field(default_factory=list)
    nudges: list[Nudge] = field(default_factory=list)
    preparation: Preparation | None = None

    @property
    def lesson(self) -> Lesson | None:
        return self.row.posted if self.row else None

    @property
    def feel(self) -> FeelPlot | None:
        return self.row.feel if self.row else None

    @property
    def rests(self) -> list[Rest]:
        """Days since the lesson on which the student was hurt or rested."""
        if self.row is None or self.lesson is None:
            return []
        return [rest for rest in self.row.rests if rest.last >= self.lesson.date]

    @property
    def headline(self) -> str:
        """'Next visit on Tuesday 13 May, in 5 days'."""
        visit = self.lesson.next_visit if self.lesson else None
        if visit is None:
            return "No date for the next visit"
        days = (visit - self.today).days
        if days < 0:
            return f"The next visit was due {ago_words(visit, self.today)}"
        day = date_words(visit, self.today)
        if days == 0:
            return f"Next visit today, {day}"
        return f"Next visit on {day}, in {count(days, 'day')}"

    @property
    def first(self) -> list[str]:
        """What to check first, as sentences: what hurt, what waits, what falls off, what was
        left aside. The open findings stand below them."""
        if self.row is None:
            return []
        told = []
        if self.hurt:
            drills = listed(sorted({log.assignment.name for log in self.hurt}))
            last = max(log.day for log in self.hurt)
            told.append(
                f"Something hurt, last {ago_words(last, self.today)}: {drills}. Ask before you "
                "begin, and leave it to a doctor or physiotherapist if it goes on."
            )
        if self.row.resting and self.row.resting.is_hurt:
            last = date_words(self.row.resting.last, self.today)
            told.append(f"Said they are hurt, and rest until {last}.")
        if self.row.unread:
            told.append(f"{self.row.unread_words} not read yet.")
        if self.row.seen_on is None and self.row.posted:
            told.append("The recap has not been opened.")
        if self.row.posted and self.row.ruler and self.row.held and not self.row.logs:
            told.append("Nothing was practised since the lesson.")
        elif self.row.left_aside:
            told.append(f"Left aside: {listed(self.row.left_aside)}.")
        if self.row.drift:
            told.append(f"{self.row.drift.words}.")
        return told


def brief_of(student: Student) -> Brief:
    """The brief for the visit after the student's newest posted lesson.

    Its number of queries does not grow with drills, logs or findings.
    """
    row = next(iter(board_rows(student.coach, only=student)), None)
    brief = Brief(student, today_of(student), row)
    lesson = brief.lesson
    if row is None or lesson is None:
        return brief
    brief.recap = Recap.objects.filter(lesson=lesson).first()
    parts = {part.key: part for part in row.share.drills} if row.share else {}
    brief.drills = [
        DrillBrief(
            given,
            ruler(
                lesson,
                [log for log in row.logs if log.assignment_id == given.pk],
                brief.today,
                pauses=row.pauses,
            ),
            parts[given.pk],
        )
        for given in lesson.assignments.all()
        if given.pk in parts
    ]
    logs = Log.objects.standing().filter(assignment__lesson=lesson).select_related("assignment")
    brief.notes = [log for log in logs if log.note or log.hurt]
    brief.hurt = [log for log in brief.notes if log.hurt]
    if brief.recap is not None:
        brief.findings = list(brief.recap.findings.still_open())
        brief.measured = measured_of(brief.recap, student)
    brief.measured += tempos_of(lesson)
    asked = questions_of(student).for_list(student.coach)
    brief.threads = [one for one in asked if one.unread or one.last_at >= lesson.posted_at]
    nudges = Nudge.objects.filter(student=student, created_at__gte=lesson.posted_at)
    brief.nudges = list(nudges.prefetch_related("sent_to"))
    brief.preparation, _ = Preparation.objects.get_or_create(lesson=lesson)
    return brief


def measured_of(recap: Recap, student: Student) -> list[Measured]:
    """The measures that the marks on the recap's stills say, in the recap's order."""
    kept = MarkingError.objects.filter(coach=student.coach_id).first()
    error_px = float(kept.error_px) if kept else ERROR_PX
    found = []
    for one in recap.stills.current().select_related("still__clip", "still__mark_set"):
        clip, marks = one.still.clip, marks_of(one.still)
        sight = Sight(clip.view, student.handed, error_px)
        for measure in (shown_measure(mark, marks, sight) for mark in marks):
            if measure is not None:
                where = one.caption or one.still.title
                found.append(Measured(where, clip.part, measure.sentence))
    return found


def tempos_of(lesson: Lesson) -> list[Measured]:
    """For each part of the lesson the tempo of one swing: the one to keep, else the first."""
    swings = Swing.objects.current().filter(clip__lesson=lesson, clip__removed_at__isnull=True)
    found: dict[str, Measured] = {}
    for swing in swings.select_related("clip").order_by("-is_kept", "clip", "begin_us"):
        clip = swing.clip
        tempo = tempo_of(swing, clip.slowdown)
        if tempo is None or clip.part in found:
            continue
        words = (
            f"{tempo.backswing_s:.2f} s back, {tempo.downswing_s:.2f} s down, "
            f"{tempo.ratio:.1f} ±{tempo.ratio_pm:.1f} to 1"
        )
        found[clip.part] = Measured("Tempo", clip.part, words)
    return [found[part] for part in Part.values if part in found]
