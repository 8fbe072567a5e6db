"""How allauth behaves here: nobody signs up by themself, letters go through portal.mail."""

from __future__ import annotations

import datetime

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.models import EmailAddress, EmailConfirmation
from allauth.account.utils import get_next_redirect_url
from allauth.core import context as request_context
from allauth.mfa.adapter import DefaultMFAAdapter
from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse

from portal.accounts.links import sign_in_url
from portal.accounts.models import User
from portal.accounts.signing import signed_in_within
from portal.mail.sending import post_letter

# allauth's name of a letter -> ours: templates/accounts/letter_<name>.txt
LETTERS = {
    "account/email/login_code": "accounts/sign_in",
    "account/email/email_confirmation": "accounts/new_address",
    "account/email/email_changed": "accounts/address_changed",
    "mfa/email/webauthn_added": "accounts/passkey_added",
    "mfa/email/webauthn_removed": "accounts/passkey_removed",
}
MINUTES = settings.ACCOUNT_LOGIN_BY_CODE_TIMEOUT // 60


class AccountAdapter(DefaultAccountAdapter):
    """Accounts are made by the first run and by invitations only."""

    error_messages = {
        **DefaultAccountAdapter.error_messages,
        "account_inactive": "This account is closed. Ask your coach.",
        "email_password_mismatch": "The address and the password do not go together.",
        "email_taken": "Somebody here already uses this address.",
        "incorrect_code": "That is not the code. Look at the newest letter, and type it again.",
        "incorrect_password": "That is not your password.",
        "rate_limited": "That was asked too often. Wait a minute, then try again.",
        "same_as_current": "That is your address already.",
        "too_many_login_attempts": "Too many tries. Wait five minutes, then ask for a new code.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def get_login_stages(self) -> list[str]:
        """A passkey is a way in of its own, not a second step after a code or a link."""
        stages = super().get_login_stages()
        return [stage for stage in stages if not stage.startswith("allauth.mfa.")]

    def is_reauthentication_required(self, *, app: str, **kwargs: object) -> bool:
        """Changing the ways in asks again who it is, but not right after signing in."""
        return not signed_in_within(request_context.request, settings.SURE_SECONDS)

    def get_email_confirmation_url(
        self, request: HttpRequest, emailconfirmation: EmailConfirmation
    ) -> str:
        path = reverse("account_confirm_email", args=[emailconfirmation.key])
        return settings.SITE_URL + path

    def get_email_verification_redirect_url(self, email_address: EmailAddress) -> str:
        return reverse("accounts:profile")

    def send_mail(self, template_prefix: str, email: str, context: dict[str, object]) -> None:
        """Write allauth's letter as a row, which a worker sends and the sweep never forgets."""
        values = {**context, "minutes": MINUTES, "site": settings.SITE_URL}
        if template_prefix == "account/email/login_code":
            user = User.objects.get(email=email)
            life = datetime.timedelta(minutes=MINUTES)
            leads_to = get_next_redirect_url(request_context.request) or "/"
            values |= {"user": user, "url": sign_in_url(user, leads_to, life)}
        post_letter(LETTERS[template_prefix], email, values)


class MFAAdapter(DefaultMFAAdapter):
    """Names of passkeys, and of the site as a phone's passkey list shows it."""

    def get_public_key_credential_rp_entity(self) -> dict[str, str]:
        return {**super().get_public_key_credential_rp_entity(), "name": "Carryover"}

    def generate_authenticator_name(self, user: User, type: str) -> str:  # noqa: A002
        return f"Passkey {user.authenticator_set.count() + 1}"
