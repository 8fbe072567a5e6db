"""Forms of people: the first coach, one's own page, a password."""

from __future__ import annotations

import zoneinfo

from django import forms
from django.conf import settings
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from portal.accounts.first_run import right_code
from portal.accounts.models import User


def zone_choices() -> list[tuple[str, str]]:
    """Places by name, as 'Europe/Dublin' reads: 'Europe: Dublin'."""
    areas = ("Africa", "America", "Antarctica", "Asia", "Atlantic", "Australia", "Europe")
    areas += ("Indian", "Pacific")
    names = sorted(n for n in zoneinfo.available_timezones() if n.split("/")[0] in areas)
    words = [(n, n.replace("/", ": ", 1).replace("_", " ")) for n in names if "/" in n]
    return [("UTC", "UTC"), *words]


class ZoneField(forms.ChoiceField):
    """A time zone; the browser's own is chosen by <zone-guess> where none is given yet."""

    def __init__(self) -> None:
        super().__init__(
            label="Time zone",
            choices=zone_choices,
            initial=settings.TIME_ZONE,
            help_text="Days of practice begin and end by it.",
        )


class PasswordField(forms.CharField):
    """A new password, or none."""

    def __init__(self, **kwargs: object) -> None:
        widget = forms.PasswordInput(attrs={"autocomplete": "new-password"})
        super().__init__(strip=False, widget=widget, **kwargs)


class FirstCoachForm(forms.ModelForm):
    """The first coach. `ask_code`: whether the setup code must be given too."""

    time_zone = ZoneField()
    password = PasswordField(
        required=False,
        help_text="Leave it empty to sign in by a code sent to you, or by passkey later.",
    )
    code = forms.CharField(
        label="Setup code",
        help_text="Printed where the site was started, and by: manage.py setup_code",
    )

    class Meta:
        model = User
        fields = ["name", "email", "time_zone"]
        labels = {"name": "Your name", "email": "Your e-mail"}
        help_texts = {"name": "As your students know you."}
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "name"}),
            "email": forms.EmailInput(attrs={"autocomplete": "email"}),
        }

    def __init__(self, *args: object, ask_code: bool, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        if not ask_code:
            del self.fields["code"]

    def clean_code(self) -> str:
        code = self.cleaned_data["code"]
        if not right_code(code):
            raise ValidationError("That is not the setup code. Copy it again, dashes and all.")
        return code

    def clean_password(self) -> str:
        password = self.cleaned_data["password"]
        if password:
            validate_password(password, self.instance)
        return password


class ProfileForm(forms.ModelForm):
    """One's own name and time zone; the address is changed by proving the new one."""

    time_zone = ZoneField()

    class Meta:
        model = User
        fields = ["name", "time_zone"]
        widgets = {"name": forms.TextInput(attrs={"autocomplete": "name"})}


class NewPasswordForm(forms.Form):
    """A new password for somebody."""

    password = PasswordField(label="New password", help_text="10 characters or more.")

    def __init__(self, *args: object, user: User, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.user = user

    def clean_password(self) -> str:
        password = self.cleaned_data["password"]
        validate_password(password, self.user)
        return password
