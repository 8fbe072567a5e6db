"""What a coach sends from the board's pages."""

from __future__ import annotations

from django import forms

from lessons.board.models import LONGEST_NUDGE, NudgeWords

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
