"""What a student sends: a tap, and more about it."""

from __future__ import annotations

import datetime
from typing import Any

from django import forms
from django.http import QueryDict

from lessons.practice.models import Log, Rest
from lessons.practice.service import Amount


class TapForm(forms.Form):
    """'Done today', 'I did it yesterday' or 'I did it again': hidden fields and a button."""

    client_id = forms.UUIDField(
        error_messages={
            "required": "That tap came without its mark. Reload the page and tap again.",
            "invalid": "That tap came with a broken mark. Reload the page and tap again.",
        }
    )
    when = forms.ChoiceField(
        choices=[("today", "today"), ("yesterday", "yesterday")],
        error_messages={
            "required": "Say whether it was today or yesterday.",
            "invalid_choice": "Only today and yesterday can be logged.",
        },
    )
    again = forms.BooleanField(required=False)

    def day(self, today: datetime.date) -> datetime.date:
        back = 1 if self.cleaned_data["when"] == "yesterday" else 0
        return today - datetime.timedelta(days=back)


class CountField(forms.IntegerField):
    """A whole number from 1 to `most`, typed on a phone's number keys."""

    def __init__(self, label: str, most: int) -> None:
        super().__init__(
            label=label,
            required=False,
            min_value=1,
            max_value=most,
            widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
            error_messages={
                "invalid": "Write a whole number.",
                "min_value": "Write 1 or more, or tap undo if you did none.",
                "max_value": f"Write {most} or less.",
            },
        )


class SaidForm(forms.Form):
    """How much it was, how it felt, a note."""

    sets = CountField("Sets", 50)
    reps = CountField("In each set", 500)
    minutes = CountField("Minutes", 480)
    felt = forms.TypedChoiceField(
        label="How did it feel?",
        choices=Log.Felt.choices,
        coerce=int,
        empty_value=None,
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose one of the five, or none."},
    )
    note = forms.CharField(
        label="A note for your coach",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
        error_messages={"max_length": "Keep it to 1,000 letters; this has %(show_value)d."},
    )
    hurt = forms.BooleanField(label="Something hurt", required=False)

    @property
    def amount_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("sets", "reps", "minutes") if name in self.fields]

    @property
    def amount(self) -> Amount:
        return Amount(**{field.name: self.cleaned_data[field.name] for field in self.amount_fields})

    @property
    def first_error(self) -> str:
        return next((errors[0] for errors in self.errors.values()), "")


class MoreForm(SaidForm):
    """More about a log. Asks only for what the dose is counted in."""

    def __init__(self, log: Log, data: QueryDict | None = None) -> None:
        said = {name: getattr(log, name) for name in self.base_fields}
        # Several logs' forms stand on one page
        super().__init__(data, initial=said, auto_id=f"log{log.pk}_%s")
        self.log = log
        assignment = log.assignment
        if not assignment.reps:
            del self.fields["reps"]
            if not assignment.sets:
                del self.fields["sets"]
        for field in self.amount_fields:
            set_dose = getattr(assignment, field.name)
            field.field.widget.attrs["placeholder"] = set_dose or ""


class QueuedForm(SaidForm):
    """A log that waited on the phone, with the day it was done on."""

    client_id = forms.UUIDField()
    day = forms.DateField(
        error_messages={
            "required": "This log came without its day.",
            "invalid": "The day of this log could not be read.",
        }
    )
    again = forms.BooleanField(required=False)


class MinutesForm(forms.Form):
    """How many minutes the student has on a day of practice."""

    minutes = forms.IntegerField(
        min_value=5,
        max_value=240,
        widget=forms.NumberInput(attrs={"inputmode": "numeric", "step": 5}),
        error_messages={
            "required": "Say how many minutes you have.",
            "invalid": "Write a whole number of minutes.",
            "min_value": "Write 5 minutes or more.",
            "max_value": "Write 240 minutes or less.",
        },
    )


class ReminderForm(forms.Form):
    """'Remind me at 18:00.'"""

    at = forms.TimeField(
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={
            "required": "Say at what time.",
            "invalid": "Write a time like 18:00.",
        },
    )


class RestForm(forms.Form):
    """'I am hurt or resting until ...'."""

    MOST_DAYS = 366

    why = forms.ChoiceField(
        choices=Rest.Why.choices,
        initial=Rest.Why.RESTING,
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether you are hurt or resting."},
    )
    until = forms.DateField(
        label="Until and with",
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={
            "required": "Say until which day. You can change it later.",
            "invalid": "Write a day.",
        },
    )

    def __init__(self, today: datetime.date, data: QueryDict | None = None, **more: Any) -> None:
        super().__init__(data, **more)
        self.today = today
        self.fields["until"].widget.attrs["min"] = today.isoformat()

    def clean_until(self) -> datetime.date:
        until: datetime.date = self.cleaned_data["until"]
        if until < self.today:
            raise forms.ValidationError("That day is over. Choose today or a day to come.")
        if until > self.today + datetime.timedelta(self.MOST_DAYS):
            raise forms.ValidationError("That is more than a year away. Choose a nearer day.")
        return until
