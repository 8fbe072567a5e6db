"""What a coach types about stills and marks."""

from __future__ import annotations

from django import forms

from lessons.clips.models import Still
from lessons.marks.models import MarkingError


class StillForm(forms.ModelForm):
    class Meta:
        model = Still
        fields = ("position", "caption")
        widgets = {
            "caption": forms.TextInput(attrs={"maxlength": 200, "placeholder": "What to look at"})
        }


class MarkingErrorForm(forms.ModelForm):
    error_px = forms.DecimalField(
        min_value=0.5,
        max_value=50,
        max_digits=4,
        decimal_places=1,
        error_messages={
            "required": "Write how many pixels a mark may be off.",
            "min_value": "A mark is off by half a pixel at least.",
            "max_value": "A mark that is off by more than 50 pixels measures nothing.",
        },
    )

    class Meta:
        model = MarkingError
        fields = ("error_px",)
