"""What is typed into a thread."""

from __future__ import annotations

import uuid

from django import forms

LONGEST = 4000


class MessageForm(forms.Form):
    """Words for a thread; a still may go with them, and then no words are needed."""

    text = forms.CharField(
        required=False,
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={
            "max_length": f"Shorten this to {LONGEST:,} letters; it has %(show_value)d."
        },
    )
    client_id = forms.UUIDField(
        required=False,
        widget=forms.HiddenInput,
        initial=uuid.uuid4,
        error_messages={"invalid": "The page is out of date. Reload it; your words are kept."},
    )
    still = forms.IntegerField(required=False, min_value=1, max_value=2**63 - 1)

    def clean_client_id(self) -> uuid.UUID:
        return self.cleaned_data["client_id"] or uuid.uuid4()

    def clean(self) -> dict[str, object]:
        values = super().clean() or self.cleaned_data
        if not self.errors and not values["text"] and not values["still"]:
            self.add_error("text", "Write a word or two first.")
        return values
