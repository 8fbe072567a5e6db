"""What a student sends: a tap, and more about it."""

from __future__ import annotations

import datetime

from django import forms
from django.http import QueryDict

from lessons.practice.models import Log
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


class MoreForm(forms.Form):
    """How much it was, how it felt, a note. Asks only for what the dose is counted in."""

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

    @property
    def amount_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("sets", "reps", "minutes") if name in self.fields]

    @property
    def amount(self) -> Amount:
        return Amount(**{field.name: self.cleaned_data[field.name] for field in self.amount_fields})
