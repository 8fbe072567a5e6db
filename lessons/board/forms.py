"""What a coach sends from the board's pages."""

from __future__ import annotations

from django import forms
from django.http import QueryDict

from lessons.board.models import LONGEST_NUDGE, NudgeWords, StudentGroup
from lessons.drills.models import Drill
from lessons.students.models import Student
from portal.accounts.models import User

TOO_LONG = f"Shorten this to {LONGEST_NUDGE:,} letters; it has %(show_value)d."


class NudgeForm(forms.Form):
    """The words of a nudge. `again` is asked for only if one went out a short while ago."""

    key = forms.UUIDField(
        widget=forms.HiddenInput,
        error_messages={
            "required": "That came without its mark. Reload the page and send again.",
            "invalid": "That came with a broken mark. Reload the page and send again.",
        },
    )
    text = forms.CharField(
        label="Your words",
        max_length=LONGEST_NUDGE,
        widget=forms.Textarea(attrs={"rows": 5}),
        error_messages={"required": "Write a line first.", "max_length": TOO_LONG},
    )
    keep_as = forms.CharField(
        label="Keep these words as",
        required=False,
        max_length=60,
        help_text="A name, if you want to begin with them again. Empty if not.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"max_length": "Shorten the name to 60 letters; it has %(show_value)d."},
    )
    again = forms.BooleanField(label="Send another one all the same", required=False)


class WordsForm(forms.ModelForm):
    """Words a coach keeps to begin a nudge with."""

    class Meta:
        model = NudgeWords
        fields = ["name", "text"]
        labels = {"name": "Name", "text": "Words"}
        help_texts = {
            "text": "{name}, {drill} and {date} become the student's first name, "
            "the drill left aside, and the day of the next visit."
        }
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "off"}),
            "text": forms.Textarea(attrs={"rows": 3}),
        }
        error_messages = {
            "name": {
                "required": "Give the words a name.",
                "max_length": "Shorten the name to 60 letters; it has %(show_value)d.",
            },
            "text": {"required": "Write the words.", "max_length": TOO_LONG},
        }


class GiveForm(forms.Form):
    """The same drills, or the same note, for several students at once."""

    key = forms.UUIDField(
        widget=forms.HiddenInput,
        error_messages={
            "required": "That came without its mark. Reload the page and choose again.",
            "invalid": "That came with a broken mark. Reload the page and choose again.",
        },
    )
    students = forms.ModelMultipleChoiceField(
        Student.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose at least one student.",
            "invalid_choice": "One of these students is not among yours any more. Choose again.",
            "invalid_pk_value": "The page could not be read. Reload it.",
        },
    )
    drills = forms.ModelMultipleChoiceField(
        Drill.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "invalid_choice": "One of these drills is not in your library any more. Choose again.",
            "invalid_pk_value": "The page could not be read. Reload it.",
        },
    )
    note = forms.CharField(
        label="A note to each of them",
        required=False,
        max_length=LONGEST_NUDGE,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"max_length": TOO_LONG},
    )

    keep_as = forms.CharField(
        label="Keep these students and drills as",
        required=False,
        max_length=60,
        help_text="A name, if you want to choose them again in one tap. Empty if not.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"max_length": "Shorten the name to 60 letters; it has %(show_value)d."},
    )

    def __init__(self, coach: User, data: QueryDict | None = None, **initial: object) -> None:
        super().__init__(data, initial=initial)
        students = Student.objects.visible_to(coach).current().select_related("user", "coach")
        self.fields["students"].queryset = students
        self.fields["drills"].queryset = Drill.objects.visible_to(coach).current()

    def clean(self) -> dict[str, object]:
        values = super().clean() or self.cleaned_data
        if not self.errors and not values["drills"] and not values["note"]:
            raise forms.ValidationError("Choose a drill, or write a note.")
        return values


class GroupForm(forms.ModelForm):
    """A group's name, its students and its drills."""

    class Meta:
        model = StudentGroup
        fields = ["name", "students", "drills"]
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "off"}),
            "students": forms.CheckboxSelectMultiple,
            "drills": forms.CheckboxSelectMultiple,
        }
        error_messages = {
            "name": {
                "required": "Give the group a name.",
                "max_length": "Shorten the name to 60 letters; it has %(show_value)d.",
            },
            "students": {
                "required": "Choose at least one student.",
                "invalid_choice": "One of these students is not among yours any more.",
            },
            "drills": {"invalid_choice": "One of these drills is not in your library any more."},
        }

    def __init__(self, data: QueryDict | None = None, *, instance: StudentGroup) -> None:
        super().__init__(data, instance=instance)
        coach = instance.coach
        students = Student.objects.visible_to(coach).current()
        self.fields["students"].queryset = students.select_related("user", "coach")
        self.fields["drills"].queryset = Drill.objects.visible_to(coach).current()

    def _get_validation_exclusions(self) -> set[str]:
        # The coach is no field of the form, but a name is used once by each
        return super()._get_validation_exclusions() - {"coach"}
