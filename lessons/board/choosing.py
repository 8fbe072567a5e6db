"""Which of the board's rows a page shows: a choice by address, and so many a page. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlencode

from django.core.paginator import Page, Paginator

from lessons.board.rows import Row

PAGE_ROWS = 50
MOST_VISITS = 12  # named above the rows; the choice 'this week' has all

CHOICES: dict[str, tuple[str, Callable[[Row], bool]]] = {
    "all": ("Everyone", lambda row: True),
    "word": ("Needs a word", lambda row: row.word is not None),
    "week": ("Visit this week", lambda row: row.is_this_week),
    "drifting": ("Drifting", lambda row: row.drift is not None),
}


@dataclass(frozen=True)
class Choice:
    """One choice as a link: what it is called, how many rows it has, whether it is the one."""

    key: str
    label: str
    rows: int
    is_current: bool


@dataclass(frozen=True)
class Chosen:
    """What one page of the board shows."""

    key: str
    name: str
    choices: list[Choice]
    page: Page[Row]
    visits: list[Row]
    visits_left: int  # this week's visits that are not named

    @property
    def first(self) -> list[Row]:
        return [row for row in self.page if row.word]

    @property
    def rest(self) -> list[Row]:
        return [row for row in self.page if not row.word]

    @property
    def query(self) -> str:
        """The address's query without the page, for the links to other pages."""
        return urlencode({"show": self.key, **({"name": self.name} if self.name else {})})


def choose(rows: list[Row], key: str, name: str, page: str) -> Chosen:
    """The rows of one choice whose student's name holds `name`, on one page.

    An unknown choice shows everyone and a page beyond the last shows the last: an old address
    leads somewhere useful.
    """
    key = key if key in CHOICES else "all"
    name = name.strip()
    found = [row for row in rows if name.casefold() in row.student.name.casefold()]
    choices = [
        Choice(one, label, sum(1 for row in found if holds(row)), one == key)
        for one, (label, holds) in CHOICES.items()
    ]
    shown = [row for row in found if CHOICES[key][1](row)]
    week = sorted((row for row in rows if row.is_this_week), key=visit_order)
    return Chosen(
        key=key,
        name=name,
        choices=choices,
        page=Paginator(shown, PAGE_ROWS).get_page(page),
        visits=week[:MOST_VISITS],
        visits_left=max(0, len(week) - MOST_VISITS),
    )


def visit_order(row: Row) -> tuple[int, str]:
    return row.days_to_visit or 0, row.student.name.casefold()
