"""The form of a programme: what it is called, how many lessons, since when, its aims."""

from __future__ import annotations

from django import forms

from lessons.programmes.models import Programme
from lessons.students.forms import DayInput

MOST_AIMS = 12
LONGEST_AIM = 200


class ProgrammeForm(forms.ModelForm):
    """A programme; its aims are typed one a line."""

    aims = forms.CharField(
        label="Aims",
        help_text="One a line.",
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": "Write at least one aim: what should be different at the end?"},
    )

    class Meta:
        model = Programme
        fields = ["title", "lessons_planned", "begins_on"]
        labels = {
            "title": "Name",
            "lessons_planned": "How many lessons",
            "begins_on": "From",
        }
        help_texts = {"begins_on": "Lessons on this day and after it belong to it."}
        widgets = {
            "title": forms.TextInput(attrs={"autocomplete": "off"}),
            "lessons_planned": forms.NumberInput(attrs={"min": 1, "inputmode": "numeric"}),
            "begins_on": DayInput(),
        }
        error_messages = {
            "title": {
                "required": "Give it a name.",
                "max_length": "Shorten the name to 120 letters; it has %(show_value)d.",
            },
            "lessons_planned": {
                "required": "Say how many lessons.",
                "invalid": "Write a whole number.",
            },
            "begins_on": {
                "required": "Say from which day.",
                "invalid": "Write a date like 2025-05-31.",
            },
        }

    def clean_aims(self) -> list[str]:
        """The aims, one a line, without empty lines and without saying one twice."""
        lines = [" ".join(line.split()) for line in self.cleaned_data["aims"].splitlines()]
        aims = list(dict.fromkeys(line for line in lines if line))
        if len(aims) > MOST_AIMS:
            raise forms.ValidationError(f"Keep it to {MOST_AIMS} aims; these are {len(aims)}.")
        long = next((aim for aim in aims if len(aim) > LONGEST_AIM), None)
        if long:
            raise forms.ValidationError(
                f"Shorten “{long[:40]}…” to {LONGEST_AIM} letters; it has {len(long)}."
            )
        return aims
