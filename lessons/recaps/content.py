"""What a recap says, as plain values: read from the page, read from the rows, compared.

The page sends all of it at each saving, as JSON:

    {"main_point": str, "body": str,
     "findings": [{"key": uuid, "what", "why", "ball", "standing": str, "came_from": int | null}],
     "stills": [{"still": int, "caption": str}],
     "drills": [{"key": uuid, "drill": int | null, "sets", "reps", "minutes": int | null,
                 "days_a_week": int, "note": str}]}

`key` is made by the page for a new row, so that the same saving sent twice makes one row.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from typing import Any

from django import forms

from lessons.clips.models import Still
from lessons.drills.forms import GivenForm
from lessons.drills.models import Assignment, Drill
from lessons.recaps.models import Finding, Recap, RecapStill

MOST_ROWS = 60
UNREADABLE = {"row": "", "message": "The page could not be read. Reload it."}


class WrongContentError(Exception):
    """The page holds what can't be kept: `errors` says what and where, row by row."""

    def __init__(self, errors: list[dict[str, str]]) -> None:
        super().__init__(errors)
        self.errors = errors


@dataclass
class Content:
    """All that a recap says, in order."""

    main_point: str = ""
    body: str = ""
    findings: list[dict[str, Any]] = field(default_factory=list)
    stills: list[dict[str, Any]] = field(default_factory=list)
    drills: list[dict[str, Any]] = field(default_factory=list)


class LongField(forms.CharField):
    """A text that may be empty, with a bound that only a mistake passes."""

    def __init__(self, most: int = 2000) -> None:
        words = f"Shorten this to {most:,} letters; it has %(show_value)d."
        super().__init__(required=False, max_length=most, error_messages={"max_length": words})


class WordsForm(forms.ModelForm):
    body = LongField(20_000)

    class Meta:
        model = Recap
        fields = ["main_point", "body"]
        error_messages = {
            "main_point": {"max_length": "Shorten the main point to 200 letters."},
        }

    def clean_main_point(self) -> str:
        """One sentence on one line: it becomes the subject of a letter too."""
        return " ".join(self.cleaned_data["main_point"].split())


class FindingForm(forms.ModelForm):
    why = LongField()
    ball = LongField()

    class Meta:
        model = Finding
        fields = ["what", "why", "ball", "standing"]
        error_messages = {"what": {"max_length": "Shorten the finding to 200 letters."}}


class CaptionForm(forms.ModelForm):
    class Meta:
        model = RecapStill
        fields = ["caption"]
        error_messages = {"caption": {"max_length": "Shorten the caption to 200 letters."}}


def content_of(recap: Recap) -> Content:
    """What the stored recap says."""
    return Content(
        main_point=recap.main_point,
        body=recap.body,
        findings=[
            {
                "key": str(finding.key),
                "what": finding.what,
                "why": finding.why,
                "ball": finding.ball,
                "standing": finding.standing,
                "came_from": finding.came_from_id,
            }
            for finding in recap.findings.all()
        ],
        stills=[{"still": s.still_id, "caption": s.caption} for s in recap.stills.current()],
        drills=[
            {
                "key": str(given.key),
                "drill": given.drill_id,
                **{name: getattr(given, name) for name in Assignment.DOSE_FIELDS},
                "note": given.note,
            }
            for given in recap.lesson.assignments.holding()
        ],
    )


class Reader:
    """Reads one page's JSON for one recap, and collects what is wrong with it."""

    def __init__(self, recap: Recap) -> None:
        self.recap = recap
        self.lesson = recap.lesson
        self.errors: list[dict[str, str]] = []

    def read(self, data: Any) -> Content:
        """The content of the page; `WrongContentError` if any of it can't be kept."""
        if not isinstance(data, dict):
            raise WrongContentError([UNREADABLE])
        words = self.checked(WordsForm(data), "words")
        content = Content(
            main_point=words.get("main_point", ""),
            body=words.get("body", ""),
            findings=[self.finding(row) for row in self.rows(data, "findings", "key")],
            stills=self.stills(self.rows(data, "stills", "still")),
            drills=self.drills(self.rows(data, "drills", "key")),
        )
        if self.errors:
            raise WrongContentError(self.errors)
        return content

    def rows(self, data: dict[str, Any], name: str, key: str) -> list[dict[str, Any]]:
        """The rows of a section; none twice, and no more than a page can hold."""
        rows = data.get(name, [])
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            self.errors.append(UNREADABLE)
            return []
        if len(rows) > MOST_ROWS:
            self.wrong(name, f"A recap holds up to {MOST_ROWS} {name}.")
            return []
        return list({str(row.get(key)): row for row in rows}.values())

    def wrong(self, row: object, message: str) -> None:
        self.errors.append({"row": str(row), "message": message})

    def checked(self, form: forms.Form | forms.ModelForm, row: object) -> dict[str, Any]:
        """The form's values; its errors are said at the row, naming the field."""
        for name, messages in form.errors.items():
            label = form.fields[name].label or name if name in form.fields else ""
            for message in messages:
                self.errors.append(
                    {"row": str(row), "field": name, "message": f"{label}: {message}".lstrip(": ")}
                )
        return form.cleaned_data

    def key(self, row: dict[str, Any]) -> str:
        try:
            return str(uuid.UUID(str(row.get("key"))))
        except ValueError:
            self.wrong(row.get("key"), "A row could not be read. Reload the page.")
            return ""

    def finding(self, row: dict[str, Any]) -> dict[str, Any]:
        key = self.key(row)
        values = self.checked(FindingForm(row), key)
        # Only a finding of this student's other lessons can be what it came from
        came_from = row.get("came_from")
        theirs = Finding.objects.filter(recap__lesson__student=self.lesson.student)
        known = isinstance(came_from, int) and theirs.filter(pk=came_from).exists()
        return {"key": key, **values, "came_from": came_from if known else None}

    def stills(self, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
        theirs = set(Still.objects.filter(clip__lesson=self.lesson).values_list("pk", flat=True))
        kept = []
        for row in rows:
            if not isinstance(row.get("still"), int) or row["still"] not in theirs:
                # Taken away meanwhile, with its clip: no reason to refuse all the rest
                continue
            values = self.checked(CaptionForm(row), f"still-{row['still']}")
            kept.append({"still": row["still"], **values})
        return kept

    def drills(self, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
        given = {str(a.key): a for a in self.lesson.assignments.all()}
        library = set(
            Drill.objects.visible_to(self.lesson.student.coach).values_list("pk", flat=True)
        )
        kept = []
        for row in rows:
            key = self.key(row)
            in_library = isinstance(row.get("drill"), int) and row["drill"] in library
            if key not in given and not in_library:
                self.wrong(key, "This drill is not in your library. Take it out of the recap.")
                continue
            drill = given[key].drill_id if key in given else row["drill"]
            kept.append({"key": key, "drill": drill, **self.checked(GivenForm(row), key)})
        return kept


def read_content(recap: Recap, data: Any) -> Content:
    """The page's JSON as the content of this recap; raises `WrongContentError`."""
    return Reader(recap).read(data)
