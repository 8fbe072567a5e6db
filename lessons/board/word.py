"""Who needs a word first, and why. Pure: facts about one student in, a reason out."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from lessons.board.drift import Drift
from lessons.practice.words import ago_words, count, date_words, listed

HURT_DAYS = 7
UNSEEN_DAYS = 3
IDLE_DAYS = 7
UNPOSTED_DAYS = 2

# The reasons' places in RULE
HURT, WAITING, UNSEEN, IDLE, OVER, DRIFTING, ASIDE, UNPOSTED = range(8)

# The rule in words, in its order, as the page tells it
RULE = (
    f"hurt now, or something hurt in the last {HURT_DAYS} days",
    "a question or check-in you have not read",
    f"recap not seen {UNSEEN_DAYS} days after posting",
    f"nothing practised for {IDLE_DAYS} days",
    "the day of the next visit is over",
    "drifting",
    "a drill left aside",
    f"a lesson not posted {UNPOSTED_DAYS} days after it",
)


@dataclass(frozen=True)
class Facts:
    """What is known of one student's newest posted lesson, in days of their own calendar."""

    today: datetime.date
    posted_on: datetime.date | None = None
    seen: bool = False
    hurt_on: datetime.date | None = None
    hurt_until: datetime.date | None = None  # of those who said that they are hurt
    is_resting: bool = False
    waiting: str = ""  # '2 questions and 1 check-in', new to the coach
    has_drills: bool = False
    last_practised: datetime.date | None = None
    rested: int = 0  # days of rest since the last practice or the posting
    drift: Drift | None = None
    left_aside: tuple[str, ...] = ()
    next_visit: datetime.date | None = None
    unposted_date: datetime.date | None = None

    def days_since(self, day: datetime.date) -> int:
        return (self.today - day).days


@dataclass(frozen=True)
class Word:
    """Why a row stands first: `rank` is the reason's place in RULE, from 0."""

    rank: int
    why: str


def word_first(facts: Facts) -> Word | None:
    """The first reason of RULE that holds for a student; None if no word is due.

    In this order:

    0. They said that they are hurt, or logged in the last HURT_DAYS days that something hurt.
    1. They asked or answered something, or sent a check-in, that the coach has not read.
    2. Neither they nor a guardian has opened the recap UNSEEN_DAYS days after it was posted.
    3. Nothing was practised for IDLE_DAYS days: since the last practice or, without any, since
       the recap was posted, days of rest left out. Only while there are drills, the next visit is
       not over and they don't rest.
    4. The day of the next visit is over, and no newer lesson was begun.
    5. Practice falls off: the rule of lessons.board.drift.
    6. A drill was left aside: three days' doses or more of it were due and none was done.
    7. A lesson lies unposted UNPOSTED_DAYS days after it was given.

    Rows with the same reason stand by next visit, soonest first, then by name; rows without a
    reason follow in that order too.
    """
    since = facts.days_since
    visit_over = facts.next_visit is not None and facts.next_visit < facts.today
    if facts.hurt_until:
        return Word(HURT, f"Hurt, and resting until {date_words(facts.hurt_until, facts.today)}")
    if facts.hurt_on and since(facts.hurt_on) <= HURT_DAYS:
        return Word(HURT, f"Logged {ago_words(facts.hurt_on, facts.today)} that something hurt")
    if facts.waiting:
        return Word(WAITING, f"{facts.waiting} not read yet")
    if facts.posted_on and not facts.seen and since(facts.posted_on) >= UNSEEN_DAYS:
        return Word(UNSEEN, f"Recap not seen, {count(since(facts.posted_on), 'day')} after posting")
    last = facts.last_practised or facts.posted_on
    idle = since(last) - facts.rested if last else 0
    is_asked = facts.has_drills and not visit_over and not facts.is_resting
    if is_asked and idle >= IDLE_DAYS:
        return Word(IDLE, f"Nothing practised for {count(idle, 'day')}")
    if visit_over and facts.unposted_date is None:
        return Word(OVER, f"Next visit was due {ago_words(facts.next_visit, facts.today)}")
    if facts.drift:
        return Word(DRIFTING, facts.drift.words)
    if facts.left_aside:
        return Word(ASIDE, f"Left {listed(facts.left_aside)} aside so far")
    if facts.unposted_date and since(facts.unposted_date) >= UNPOSTED_DAYS:
        day = date_words(facts.unposted_date, facts.today)
        return Word(UNPOSTED, f"The lesson of {day} is not posted")
    return None
