"""The form of a drill, and of how much of one is given."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.http import QueryDict

from lessons.drills.models import Assignment, Drill
from lessons.drills.renewal import Older


class ShortArea(forms.Textarea):
    """A text of a few lines that grows as it is typed."""

    def __init__(self, rows: int = 2) -> None:
        super().__init__(attrs={"rows": rows})


def dose_input(most: int) -> forms.NumberInput:
    return forms.NumberInput(attrs={"min": 1, "max": most, "inputmode": "numeric"})


class DrillForm(forms.ModelForm):
    """A drill of the library. Its clip comes by a resumable upload, not through here."""

    class Meta:
        model = Drill
        fields = [*(name for name in Drill.TEXT_FIELDS if name != "clip"), *Drill.DOSE_FIELDS]
        labels = {
            "name": "Name",
            "purpose": "What it is for",
            "set_up": "Set-up",
            "feel": "How it should feel",
            "works_when": "How to know it works",
            "slip": "Common slip",
            "caution": "Caution",
            "sets": "Sets",
            "reps": "Times each",
            "minutes": "Minutes",
            "days_a_week": "Days a week",
        }
        help_texts = {
            "steps": "One step a line.",
            "feel": "In the student's words: this stands large on their page.",
            "caution": "Beyond the usual ones, which every drill shows.",
        }
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "off"}),
            "purpose": ShortArea(),
            "set_up": ShortArea(),
            "steps": ShortArea(5),
            "feel": ShortArea(),
            "works_when": ShortArea(),
            "slip": ShortArea(),
            "caution": ShortArea(),
            "sets": dose_input(20),
            "reps": dose_input(500),
            "minutes": dose_input(240),
            "days_a_week": dose_input(7),
        }
        error_messages = {
            "name": {
                "required": "Give the drill a name.",
                "max_length": "Shorten the name to 80 letters; it has %(show_value)d.",
            },
            "days_a_week": {"required": "Say on how many days a week, 1 to 7."},
        }

    def clean(self) -> dict[str, Any]:
        values = super().clean() or self.cleaned_data
        if not self.errors and values["reps"] is None and values["minutes"] is None:
            self.add_error("reps", "Say how many times or how many minutes.")
        return values


class GivenForm(forms.ModelForm):
    """The dose of a given drill and the coach's note to it; all may be open while it is written."""

    note = forms.CharField(
        required=False,
        max_length=2000,
        error_messages={"max_length": "Shorten this to 2,000 letters; it has %(show_value)d."},
    )

    class Meta:
        model = Assignment
        fields = [*Assignment.DOSE_FIELDS, "note"]


class RenewForm(forms.Form):
    """Which given drills take over the library's words."""

    given = forms.ModelMultipleChoiceField(
        Assignment.objects.none(),
        error_messages={
            "required": "Choose at least one student, or leave the page.",
            "invalid_choice": "One of these reads the new words already. Choose again.",
            "invalid_pk_value": "The page could not be read. Reload it.",
        },
    )

    def __init__(self, older: Iterable[Older], data: QueryDict | None = None) -> None:
        super().__init__(data)
        keys = [one.given.pk for one in older]
        self.fields["given"].queryset = Assignment.objects.filter(pk__in=keys)
