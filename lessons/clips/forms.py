"""Forms about clips and stills."""

from __future__ import annotations

from typing import Any

from django import forms

from lessons.clips.models import Clip, Position, Still


class ClipForm(forms.ModelForm):
    """Where in the lesson a clip belongs, and what it shows."""

    class Meta:
        model = Clip
        fields = ["part", "view", "club"]
        help_texts = {"club": "For example 7-iron or driver."}
        error_messages = {
            "part": {"invalid_choice": "A clip belongs to the start, middle or end."},
            "view": {"invalid_choice": "The view is face-on, down-the-line or other."},
            "club": {"max_length": "Shorten the club's name to 40 letters."},
        }
        widgets = {"club": forms.TextInput(attrs={"list": "clubs", "autocomplete": "off"})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        views = [(value, label.capitalize()) for value, label in Clip.View.choices]
        self.fields["view"].choices = views


class StillForm(forms.ModelForm):
    """The frame that is shown, at a position or with a caption."""

    class Meta:
        model = Still
        fields = ["time_us", "position", "caption"]
        error_messages = {
            "time_us": {
                "required": "The frame's time is missing. Let the clip load, then take the still.",
                "invalid": "The frame's time is no number. Reload the page and take it again.",
                "min_value": "A clip begins at 0 ms.",
            },
            "position": {"invalid_choice": "Positions run from P1 to P10. Choose one of them."},
            "caption": {"max_length": "Shorten the caption to 200 letters."},
        }

    def clean(self) -> dict[str, Any]:
        values = super().clean() or self.cleaned_data
        if not self.errors and not values.get("position") and not values.get("caption"):
            raise forms.ValidationError("Choose a position, or write a caption for the still.")
        return values

    @property
    def first_error(self) -> str:
        """The one sentence to show where there is room for one."""
        return next(str(error) for errors in self.errors.values() for error in errors)


POSITIONS = [(position.value, position.label.partition(" ")[2]) for position in Position]
