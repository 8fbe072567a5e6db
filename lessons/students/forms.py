"""Forms about students, guardians and consent."""

from __future__ import annotations

import datetime
import re
from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from lessons.students.models import Guardian, Student, adults_born_until, handicap_words

# The highest handicap index of the World Handicap System is 54.0 (from memory)
HIGHEST_HANDICAP = Decimal(54)
HIGHEST_PLUS = Decimal(10)
OLDEST_YEARS = 110


class HandicapField(forms.CharField):
    """'17', '4.2' or '+2': a plus handicap is stored below zero."""

    def prepare_value(self, value: object) -> object:
        return handicap_words(value) if isinstance(value, Decimal) else value

    def to_python(self, value: object) -> Decimal | None:
        text = str(value or "").strip().replace(",", ".")
        if not text:
            return None
        if text.startswith(("-", "\u2212")):
            raise ValidationError("Write a plus handicap with a plus, e.g. +2.")
        if not re.fullmatch(r"\+?\d{1,2}(\.\d)?", text):
            raise ValidationError("Write it like 17, 4.2 or +2.")
        strokes = Decimal(text.removeprefix("+"))
        plus = text.startswith("+")
        if strokes > (HIGHEST_PLUS if plus else HIGHEST_HANDICAP):
            raise ValidationError(f"It goes from +{HIGHEST_PLUS} to {HIGHEST_HANDICAP}.")
        return -strokes if plus else strokes

    def has_changed(self, initial: object, data: object) -> bool:
        return super().has_changed(self.prepare_value(initial), data)


class DayInput(forms.DateInput):
    """The browser's own picker of a day."""

    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class StudentForm(forms.ModelForm):
    """One student. Under 18 or not must be said: by the birth date, or by the tick."""

    handicap = HandicapField(required=False, help_text="A plus handicap as +2. May be empty.")
    adult = forms.BooleanField(label="18 or over", required=False)

    class Meta:
        model = Student
        fields = ["name", "email", "handed", "handicap", "born", "aims", "cautions"]
        labels = {"email": "E-mail", "born": "Date of birth"}
        help_texts = {
            "email": "Invitations and lessons go there. You can add it later.",
            "born": "Needed for anybody under 18.",
            "aims": "What they want from their golf, in their words.",
            "cautions": "Injuries, operations, what hurts. Shown first on every page of theirs.",
        }
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "off"}),
            "email": forms.EmailInput(attrs={"autocomplete": "off"}),
            "born": DayInput(),
            "handed": forms.RadioSelect(),
        }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        student = self.instance
        self.initial.setdefault("adult", bool(student.pk and not student.is_junior))
        if student.user_id:
            self.fields["email"].disabled = True
            self.initial["email"] = student.address
            self.fields["email"].help_text = f"{student.name} signs in with it, and may change it."

    def clean_email(self) -> str:
        return self.cleaned_data["email"].lower()

    def clean_born(self) -> datetime.date | None:
        born = self.cleaned_data["born"]
        if born is None:
            return None
        today = timezone.localdate()
        if born > today:
            raise ValidationError("That day is still to come.")
        if today.year - born.year > OLDEST_YEARS:
            raise ValidationError("Look at the year again.")
        return born

    def clean(self) -> dict[str, object]:
        data = super().clean()
        if "born" not in data:
            return data
        born, adult = data["born"], data.get("adult")
        if born is None and not adult:
            self.add_error("born", "Give the date of birth, or tick '18 or over'.")
        if born and adult and born > adults_born_until(timezone.localdate()):
            self.add_error(
                "born", "By this date they are under 18. Take away the tick, or mend it."
            )
        return data


class GuardianForm(forms.ModelForm):
    """A guardian of one student, as the coach writes them down."""

    class Meta:
        model = Guardian
        fields = ["name", "email"]
        labels = {"name": "Guardian's name", "email": "Guardian's e-mail"}
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "off"}),
            "email": forms.EmailInput(attrs={"autocomplete": "off"}),
        }

    def __init__(self, *args: object, student: Student, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.instance.student = student
        if self.instance.user_id:
            self.fields["email"].disabled = True
            self.initial["email"] = self.instance.address

    def clean_email(self) -> str:
        email = self.cleaned_data["email"].lower()
        student = self.instance.student
        others = Guardian.objects.filter(student_id=student.pk, email=email)
        if others.exclude(pk=self.instance.pk).exists():
            raise ValidationError("Another guardian of this student has this address.")
        if email and email == student.address.lower():
            raise ValidationError("This is the student's own address. A guardian needs another.")
        return email


class PaperConsentForm(forms.Form):
    """A signed paper that the coach holds."""

    signed_on = forms.DateField(label="Signed on", widget=DayInput)
    note = forms.CharField(
        max_length=300,
        label="What was signed, and where it is kept",
        help_text="E.g. 'The venue's form of 2026, in the folder at the desk'.",
    )

    def clean_signed_on(self) -> datetime.date:
        day = self.cleaned_data["signed_on"]
        if day > timezone.localdate():
            raise ValidationError("That day is still to come.")
        return day


class WithdrawalForm(forms.Form):
    """A word on why; the guardian may leave it empty, a coach says how they were told."""

    note = forms.CharField(max_length=300, required=False, label="A word on it, if you like")
