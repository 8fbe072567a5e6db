"""What a coach calls a still."""

from __future__ import annotations

from django import forms

from lessons.clips.models import Still


class StillForm(forms.ModelForm):
    class Meta:
        model = Still
        fields = ("position", "caption")
        widgets = {
            "caption": forms.TextInput(attrs={"maxlength": 200, "placeholder": "What to look at"})
        }
