"""Writing a calendar as iCalendar (RFC 5545). Pure: events in, text out.

Days only: an event on a day is a DATE value, which every calendar shows on that day wherever it is
(section 3.3.4), so no time zone has to be told.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

OCTETS = 75  # of a line, its break left out: section 3.1


@dataclass(frozen=True)
class Event:
    """Something on one whole day. `uid` stays the same when its day or words change."""

    uid: str
    day: datetime.date
    summary: str
    description: str = ""
    url: str = ""

    def lines(self, made_at: datetime.datetime) -> list[str]:
        stamp = made_at.astimezone(datetime.UTC)
        after = self.day + datetime.timedelta(days=1)  # DTEND is not part of the event
        made = [
            "BEGIN:VEVENT",
            f"UID:{escape(self.uid)}",
            f"DTSTAMP:{stamp:%Y%m%dT%H%M%SZ}",
            f"DTSTART;VALUE=DATE:{self.day:%Y%m%d}",
            f"DTEND;VALUE=DATE:{after:%Y%m%d}",
            f"SUMMARY:{escape(self.summary)}",
            "TRANSP:TRANSPARENT",  # a day with practice is not a busy day
        ]
        if self.description:
            made.append(f"DESCRIPTION:{escape(self.description)}")
        if self.url:
            made.append(f"URL:{self.url}")
        return [*made, "END:VEVENT"]


def calendar(name: str, events: Iterable[Event], made_at: datetime.datetime) -> str:
    """The whole calendar, lines folded and ended as section 3.1 wants them.

    NAME and REFRESH-INTERVAL are of RFC 7986; X-WR-CALNAME is its older form, widely read.
    """
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Carryover//Calendar//EN",
        "CALSCALE:GREGORIAN",
        f"NAME:{escape(name)}",
        f"X-WR-CALNAME:{escape(name)}",
        "REFRESH-INTERVAL;VALUE=DURATION:PT6H",
    ]
    for event in events:
        lines += event.lines(made_at)
    lines.append("END:VCALENDAR")
    return "".join(fold(line) + "\r\n" for line in lines)


def escape(text: str) -> str:
    """A TEXT value: section 3.3.11. Other control characters are not allowed in one, and go."""
    text = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\n", "\\n")
    return "".join(letter for letter in text if letter == "\t" or letter.isprintable())


def fold(line: str) -> str:
    """Lines of 75 octets at most, broken between characters; the next begins with a space."""
    parts: list[str] = []
    part, size = "", 0
    for letter in line:
        octets = len(letter.encode())
        if size + octets > OCTETS:
            parts.append(part)
            part, size = " ", 1
        part, size = part + letter, size + octets
    return "\r\n".join([*parts, part])
