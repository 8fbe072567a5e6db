"""Setting and dropping a password; either way the person is told by letter."""

from __future__ import annotations

from django.contrib.auth import update_session_auth_hash
from django.db import transaction
from django.http import HttpRequest

from portal.accounts.models import User
from portal.mail.sending import post_letter


@transaction.atomic
def set_password(request: HttpRequest, user: User, password: str) -> None:
    """Give the person a password; their other phones are signed out."""
    user.set_password(password)
    _keep(request, user)


@transaction.atomic
def drop_password(request: HttpRequest, user: User) -> None:
    """Leave the person with codes, links and passkeys."""
    user.set_unusable_password()
    _keep(request, user)


def _keep(request: HttpRequest, user: User) -> None:
    user.save(update_fields=["password"])
    update_session_auth_hash(request, user)
    post_letter("accounts/password_changed", user.email, {"user": user})
