"""allauth's forms, as they are wanted here."""

from __future__ import annotations

from allauth.account.adapter import get_adapter
from allauth.account.forms import AddEmailForm, LoginForm
from allauth.mfa.webauthn.forms import (
    AddWebAuthnForm,
    LoginWebAuthnForm,
    ReauthenticateWebAuthnForm,
)
from django import forms

from portal.accounts.models import User


class CheckedCredential:
    """Refuses an answer that no browser gives, which the library would trip over."""

    def clean_credential(self) -> object:
        refusal = forms.ValidationError("That was no passkey of yours. Try again.")
        try:
            above = getattr(super(), "clean_credential", None)
            return above() if above else self.cleaned_data["credential"]
        except (KeyError, TypeError, AttributeError, ValueError) as error:
            raise refusal from error


class LoginPasskeyForm(CheckedCredential, LoginWebAuthnForm):
    pass


class AgainPasskeyForm(CheckedCredential, ReauthenticateWebAuthnForm):
    pass


class AddPasskeyForm(AddWebAuthnForm):
    """Every key is a passkey: it signs in by itself, so the phone must know its owner."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].label = "Name"
        self.fields["name"].help_text = "So that you know it again, e.g. 'My phone'."
        self.fields["name"].max_length = 60
        self.fields["passwordless"].label = ""
        self.fields["passwordless"].help_text = ""
        self.fields["passwordless"].initial = True
        self.fields["passwordless"].widget = forms.CheckboxInput(attrs={"hidden": True})

    def clean_passwordless(self) -> bool:
        return True

    def clean(self) -> dict[str, object]:
        try:
            return super().clean()
        except (KeyError, TypeError, AttributeError, ValueError) as error:
            raise forms.ValidationError("The passkey could not be read. Try again.") from error


class AddressForm(AddEmailForm):
    """A new address that nobody else here signs in with."""

    def clean_email(self) -> str:
        email = super().clean_email()
        if User.objects.filter(email=email).exclude(pk=self.user.pk).exists():
            raise get_adapter().validation_error("email_taken")
        return email


class PasswordForm(LoginForm):
    """Address and password; the usual form asks for the address only."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["login"].label = "E-mail"
        self.fields["password"].help_text = ""
        for field in self.fields.values():
            field.widget.attrs.pop("placeholder", None)

    def _setup_password_field(self) -> None:
        """Keep the field that the usual form drops."""
