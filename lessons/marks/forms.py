"""What a coach types about stills and marks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from lessons.clips.models import Still
from lessons.marks.mark import Mark
from lessons.marks.models import MarkingError, NamedSet
from portal.accounts.models import User


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


class NamedSetForm(forms.Form):
    name = forms.CharField(
        max_length=60,
        label="Keep these marks as a set",
        widget=forms.TextInput(attrs={"placeholder": "Its name", "autocomplete": "off"}),
        error_messages={"required": "Give the set a name."},
    )

    def __init__(self, *args: Any, coach: User, marks: Sequence[Mark], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.coach = coach
        self.marks = marks

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if NamedSet.objects.visible_to(self.coach).filter(name=name).exists():
            raise forms.ValidationError("You have a set of this name. Take another, or remove it.")
        return name

    def clean(self) -> dict[str, Any]:
        if not self.marks:
            raise forms.ValidationError("Nothing is drawn on this still yet, so nothing was kept.")
        return self.cleaned_data


class CopyForm(forms.Form):
    stills = forms.ModelMultipleChoiceField(
        Still.objects.none(),
        error_messages={
            "required": "Choose the stills that get the marks.",
            "invalid_choice": "One of these stills is gone, or of another size. Choose again.",
            "invalid_pk_value": "One of these stills is gone. Choose again.",
        },
    )

    def __init__(self, *args: Any, still: Still, targets: Sequence[Still], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.still = still
        keys = [target.pk for target in targets]
        self.fields["stills"].queryset = Still.objects.filter(pk__in=keys)


class MeasureTableForm(forms.Form):
    stills = forms.ModelMultipleChoiceField(
        Still.objects.none(),
        required=False,
        error_messages={"invalid_choice": "A chosen still is gone. Choose again."},
    )
    in_recap = forms.BooleanField(required=False)

    def __init__(self, *args: Any, stills: Sequence[Still], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["stills"]
        field.queryset = Still.objects.filter(pk__in=[s.pk for s in stills])  # type: ignore[attr-defined]
