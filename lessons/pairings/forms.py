"""What a coach chooses about a pairing: its swings, how it is shown, what is saved of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from django import forms

from lessons.clips.forms import MomentForm
from lessons.clips.models import Position
from lessons.pairings.models import FEWEST, MOST, Pairing, PairingSide, SavedPairing
from lessons.pairings.offering import Offer

CLOSEST_PERCENT = 400
NEAREST_POINTS = 0.02  # of the picture's height: nearer ones can't give its size
UNREADABLE = "This could not be read, so nothing was changed. Reload the page."


class ChoiceForm(forms.Form):
    """Which swings are laid side by side, in the order in which they are listed."""

    swings = forms.MultipleChoiceField(
        error_messages={
            "required": f"Choose {FEWEST} or {MOST} swings.",
            "invalid_choice": "A chosen swing is gone. Choose again.",
        }
    )

    def __init__(self, *args: Any, offers: Sequence[Offer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offers = {offer.key: offer for offer in offers}
        self.fields["swings"].choices = [(key, key) for key in self.offers]  # type: ignore[attr-defined]

    def clean_swings(self) -> list[Offer]:
        keys = dict.fromkeys(self.cleaned_data["swings"])
        if not FEWEST <= len(keys) <= MOST:
            raise forms.ValidationError(f"Choose {FEWEST} or {MOST} swings; you chose {len(keys)}.")
        return [self.offers[key] for key in keys]


class PairingForm(forms.ModelForm):
    """How the pairing is shown, as its page sends it."""

    class Meta:
        model = Pairing
        fields = ("at", "by_position", "over", "opacity_percent", "zoom_percent", "with_marks")

    opacity_percent = forms.IntegerField(min_value=0, max_value=100)
    zoom_percent = forms.IntegerField(min_value=100, max_value=CLOSEST_PERCENT)


class SideForm(forms.ModelForm):
    """How one swing is shown. `points` come as JSON: shares of the picture, or null."""

    class Meta:
        model = PairingSide
        fields = ("aligned_us", "mirrored", "points", "caption")
        error_messages = {"caption": {"max_length": "Shorten the caption to 80 letters."}}

    aligned_us = forms.IntegerField(min_value=0, required=False)
    points = forms.JSONField(required=False)

    def clean_aligned_us(self) -> int | None:
        aligned: int | None = self.cleaned_data["aligned_us"]
        if aligned is not None and aligned > self.instance.clip.duration_us:
            raise forms.ValidationError("This moment lies behind the end of the clip.")
        return aligned

    def clean_points(self) -> list[list[float]] | None:
        points = self.cleaned_data["points"]
        if points is None:
            return None
        try:
            (ax, ay), (bx, by) = points
            shares = [float(value) for value in (ax, ay, bx, by)]
        except (TypeError, ValueError):
            raise forms.ValidationError(UNREADABLE) from None
        if not all(0 <= share <= 1 for share in shares):
            raise forms.ValidationError("Both points to match must lie on the picture.")
        clip = self.instance.clip
        apart = math.hypot(
            (shares[2] - shares[0]) * clip.width_px, (shares[3] - shares[1]) * clip.height_px
        )
        if apart < NEAREST_POINTS * clip.height_px:
            raise forms.ValidationError(
                "The two points to match are too near one another to give a size."
            )
        return [shares[:2], shares[2:]]


class DrawForm(MomentForm):
    """The shown frame of one swing, and its position where that is known."""

    position = forms.ChoiceField(
        choices=[("", ""), *Position.choices],
        required=False,
        error_messages={"invalid_choice": "Positions run from P1 to P10. Choose one of them."},
    )


class SavingForm(forms.Form):
    """What is saved is what its page shows: it says which version of the pairing that is."""

    version = forms.IntegerField(min_value=0, required=False)

    def __init__(self, *args: Any, pairing: Pairing, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.pairing = pairing

    def clean_version(self) -> int | None:
        version: int | None = self.cleaned_data["version"]
        if version not in {None, self.pairing.version}:
            raise forms.ValidationError(
                "This pairing was also changed in another window or on another device, so nothing "
                "was saved. Reload the page to see it as it is, then save."
            )
        return version


class PictureForm(SavingForm):
    """The moment of the pairing's clock that a picture is saved of."""

    clock_us = forms.IntegerField(
        min_value=-60_000_000,
        max_value=60_000_000,
        error_messages={"required": "The moment is missing. Reload the page."},
    )


class FilmForm(SavingForm):
    """How fast a film runs, where it pauses and for how long."""

    SPEEDS = (("1", "Full"), ("0.5", "Half"), ("0.25", "Quarter"), ("0.125", "Eighth"))

    speed = forms.ChoiceField(
        choices=SPEEDS,
        initial="0.25",
        error_messages={"invalid_choice": "Choose full, half, quarter or eighth speed."},
    )
    pauses = forms.MultipleChoiceField(
        choices=Position,
        required=False,
        error_messages={"invalid_choice": "Positions run from P1 to P10. Choose among them."},
    )
    hold_s = forms.DecimalField(
        min_value=0.5,
        max_value=10,
        max_digits=3,
        decimal_places=1,
        initial=2,
        error_messages={
            "required": "Say how many seconds a pause lasts.",
            "min_value": "A pause lasts half a second or more.",
            "max_value": "A pause lasts 10 seconds at most.",
        },
    )


class SavedForm(forms.ModelForm):
    """What the student reads below a saved picture or film, and whether they see it."""

    class Meta:
        model = SavedPairing
        fields = ("caption", "in_recap")
        error_messages = {"caption": {"max_length": "Shorten the caption to 200 letters."}}
