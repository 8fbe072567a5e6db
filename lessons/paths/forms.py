"""What a coach says of a patch: where it is, what it is."""

from __future__ import annotations

from typing import Any

from django import forms

from lessons.clips.models import Clip
from lessons.paths.models import MOST_BOXES, Box, Path
from media_tools.followed import LEAST_SIDE_PX

DRAW = "Draw a box on the picture first."
BROKEN = "The box did not arrive whole. Draw it again."
MOST_SHARE = 0.6  # of the picture's sides: more is no patch


class BoxForm(forms.Form):
    """A box on one frame of a clip, in pixels of its cuts."""

    time_us = forms.IntegerField(
        min_value=0, error_messages={"required": DRAW, "invalid": BROKEN, "min_value": BROKEN}
    )
    x = forms.FloatField(error_messages={"required": DRAW, "invalid": BROKEN})
    y = forms.FloatField(error_messages={"required": DRAW, "invalid": BROKEN})
    width = forms.FloatField(error_messages={"required": DRAW, "invalid": BROKEN})
    height = forms.FloatField(error_messages={"required": DRAW, "invalid": BROKEN})

    def __init__(self, *args: Any, clip: Clip, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.clip = clip

    def clean_time_us(self) -> int:
        time_us: int = self.cleaned_data["time_us"]
        if time_us > self.clip.duration_us:
            raise forms.ValidationError("The clip ends before this moment. Choose another frame.")
        return time_us

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if self.errors:
            return data
        if not (0 <= data["x"] <= self.clip.width_px and 0 <= data["y"] <= self.clip.height_px):
            raise forms.ValidationError("The box lies outside of the picture. Draw it again.")
        if min(data["width"], data["height"]) < LEAST_SIDE_PX:
            raise forms.ValidationError("This box is too small to be followed. Draw a larger one.")
        if (
            data["width"] > MOST_SHARE * self.clip.width_px
            or data["height"] > MOST_SHARE * self.clip.height_px
        ):
            raise forms.ValidationError(
                "This box is too large: draw it round the head, the grip or the hip alone."
            )
        return data

    @property
    def box(self) -> Box:
        data = self.cleaned_data
        sides = {key: round(data[key], 2) for key in ("x", "y", "width", "height")}
        return {"time_us": data["time_us"], **sides}

    @property
    def first_error(self) -> str:
        return next((str(each[0]) for each in self.errors.values()), "")


class NewPathForm(BoxForm):
    what = forms.ChoiceField(
        choices=Path.What.choices,
        error_messages={
            "required": "Say what you boxed.",
            "invalid_choice": "Say what you boxed: the head, the grip, the hip or something else.",
        },
    )
    name = forms.CharField(max_length=40, required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        name = " ".join(data.get("name", "").split())
        if data.get("what") == Path.What.OTHER and not name:
            self.add_error("name", "Say in a word what it is.")
        data["name"] = name if data.get("what") == Path.What.OTHER else ""
        return data


class CorrectionForm(BoxForm):
    """The box that is shown, and those drawn at other frames before it was sent, as JSON."""

    others = forms.JSONField(required=False, error_messages={"invalid": BROKEN})

    def clean_others(self) -> list[Box]:
        rows = self.cleaned_data["others"]
        rows = [] if rows is None else rows
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            raise forms.ValidationError(BROKEN)
        boxes = []
        for row in rows[:MOST_BOXES]:
            form = BoxForm(row, clip=self.clip)
            if not form.is_valid():
                raise forms.ValidationError(form.first_error)
            boxes.append(form.box)
        return boxes

    @property
    def boxes(self) -> list[Box]:
        return [*self.cleaned_data["others"], self.box]


class VersionForm(forms.Form):
    """Which state of the boxes the page showed."""

    version = forms.IntegerField(
        min_value=0,
        error_messages={
            "required": "The page did not say what it showed. Reload it.",
            "invalid": "The page did not say what it showed. Reload it.",
            "min_value": "The page did not say what it showed. Reload it.",
        },
    )

    @property
    def first_error(self) -> str:
        return next((str(each[0]) for each in self.errors.values()), "")
