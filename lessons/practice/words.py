"""Days and counts as people say them. Pure."""

from __future__ import annotations

import datetime
from collections.abc import Sequence


def count(number: int, noun: str) -> str:
    """'1 day', '3 days'."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def date_words(day: datetime.date, today: datetime.date) -> str:
    """'Thursday 1 May', with the year if it is not this one: '1 May 2024'."""
    if day.year != today.year:
        return f"{day.day} {day:%B} {day.year}"
    return f"{day:%A} {day.day} {day:%B}"


def ago_words(day: datetime.date, today: datetime.date) -> str:
    """'today', 'yesterday', 'on Tuesday', then '12 days ago', then a date."""
    days = (today - day).days
    if days <= 0:
        return "today"
    if days == 1:
        return "yesterday"
    if days < 7:
        return f"on {day:%A}"
    return f"{days} days ago" if days < 28 else f"on {date_words(day, today)}"


def listed(names: Sequence[str]) -> str:
    """'the ladder', 'the ladder and the gate', 'a, b and c'."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
