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
                "min_value": "A clip begins at 0 s.",
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


class MomentForm(forms.Form):
    """A moment of a clip, in microseconds of its clock: the shown frame's time."""

    time_us = forms.IntegerField(
        min_value=0,
        max_value=10**13,
        error_messages={
            "required": "The frame's time is missing. Let the clip load, then try again.",
            "invalid": "The frame's time is no number. Reload the page and try again.",
            "min_value": "A clip begins at 0 s.",
            "max_value": "This moment lies outside of the clip. Step to a frame of it.",
        },
    )

    @property
    def first_error(self) -> str:
        """The one sentence to show where there is room for one."""
        return next(str(error) for errors in self.errors.values() for error in errors)


class PlaceForm(MomentForm):
    """Which position of a swing the shown frame is."""

    position = forms.ChoiceField(
        choices=Position.choices,
        error_messages={
            "required": "Say which position it is, from P1 to P10.",
            "invalid_choice": "Positions run from P1 to P10. Choose one of them.",
        },
    )


class RateForm(forms.ModelForm):
    """The true rate of a slow-motion clip that was stored stretched."""

    class Meta:
        model = Clip
        fields = ["filmed_hz"]
        labels = {"filmed_hz": "Filmed at, frames a second"}
        widgets = {"filmed_hz": forms.NumberInput(attrs={"list": "rates", "inputmode": "numeric"})}
        error_messages = {"filmed_hz": {"invalid": "Write the rate as a number, like 240."}}

    def clean_filmed_hz(self) -> int | None:
        filmed_hz: int | None = self.cleaned_data["filmed_hz"]
        stored_hz = self.instance.stored_hz
        if filmed_hz is None or abs(filmed_hz - stored_hz) < 1:
            return None
        if not stored_hz < filmed_hz <= FASTEST_HZ:
            raise forms.ValidationError(
                f"This clip holds {stored_hz:.0f} frames a second. Filmed slow, it had more: "
                f"write a rate up to {FASTEST_HZ}, or leave it empty."
            )
        return filmed_hz


FASTEST_HZ = 2000
POSITIONS = [(position.value, position.label.partition(" ")[2]) for position in Position]
