"""The form of a lesson."""

from __future__ import annotations

import datetime
from typing import Any

from django import forms
from django.utils import timezone

from lessons.visits.models import Lesson

FURTHEST = datetime.timedelta(days=730)


class DateInput(forms.DateInput):
    """The browser's own date picker; it takes ISO dates only."""

    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class LessonForm(forms.ModelForm):
    class Meta:
        model = Lesson
        fields = ["date", "theme", "next_visit"]
        labels = {"date": "Date of the lesson", "next_visit": "Next visit"}
        widgets = {
            "date": DateInput(),
            "next_visit": DateInput(),
            "theme": forms.TextInput(attrs={"autocomplete": "off", "autofocus": True}),
        }
        help_texts = {
            "theme": "What you worked on, in a few words. You can write it later.",
            "next_visit": "The lesson's drills hold until then. Leave it empty if it is open.",
        }
        error_messages = {
            "date": {
                "required": "Say on which day the lesson was.",
                "invalid": "This is no date. Write it like 2026-05-30.",
            },
            "next_visit": {"invalid": "This is no date. Write it like 2026-06-27."},
            "theme": {"max_length": "Shorten the theme to 120 letters; it has %(show_value)d."},
        }

    def clean_date(self) -> datetime.date:
        date: datetime.date = self.cleaned_data["date"]
        today = timezone.localdate()
        if date > today + FURTHEST:
            raise forms.ValidationError("This is more than two years ahead. Check the year.")
        if date.year < today.year - 50:
            raise forms.ValidationError("This is more than 50 years ago. Check the year.")
        return date

    def clean(self) -> dict[str, Any]:
        values = super().clean() or self.cleaned_data
        date, next_visit = values.get("date"), values.get("next_visit")
        if date and next_visit:
            if next_visit <= date:
                self.add_error(
                    "next_visit",
                    f"The next visit must be after the lesson on {date:%-d %B %Y}. "
                    "Choose a later day, or leave it empty.",
                )
            elif next_visit > date + FURTHEST:
                self.add_error(
                    "next_visit", "This is more than two years after the lesson. Check the year."
                )
        return values
