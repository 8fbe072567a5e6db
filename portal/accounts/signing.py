"""Signing a person in outside of allauth's pages, and out of their other phones."""

from __future__ import annotations

import time

from allauth.account.models import EmailAddress
from allauth.account.signals import authentication_step_completed, email_confirmed
from django.contrib.auth import login, update_session_auth_hash
from django.contrib.auth.signals import user_logged_in
from django.db import transaction
from django.dispatch import receiver
from django.http import HttpRequest

from portal.accounts.links import forget_links, prove_address
from portal.accounts.models import User, new_salt

SIGNED_IN_AT = "signed_in_at"
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


def sign_in(request: HttpRequest, user: User) -> None:
    """Sign the person in on this phone; whoever was signed in before is signed out."""
    login(request, user, backend=BACKEND)


@receiver(user_logged_in)
def remember_when(request: HttpRequest, **kwargs: object) -> None:
    """Note the time of every sign-in in its session, by whatever way it came."""
    request.session[SIGNED_IN_AT] = time.time()


def signed_in_within(request: HttpRequest, seconds: float) -> bool:
    """Whether this phone was signed in so lately that asking again helps nobody."""
    return time.time() - request.session.get(SIGNED_IN_AT, 0) < seconds


@receiver(authentication_step_completed)
def code_proves_address(user: User, method: str, **kwargs: object) -> None:
    """A code that came by letter was typed in."""
    if method == "code":
        prove_address(user)


@receiver(email_confirmed)
def new_address_holds(email_address: EmailAddress, **kwargs: object) -> None:
    """The new address is proven, and links sent to the old one are worthless."""
    user = User.objects.get(pk=email_address.user_id)
    prove_address(user)
    forget_links(user)


@transaction.atomic
def sign_out_elsewhere(request: HttpRequest, user: User) -> None:
    """End every session of the person but this one, and make their unused links worthless."""
    user.sessions_salt = new_salt()
    user.save(update_fields=["sessions_salt"])
    forget_links(user)
    update_session_auth_hash(request, user)
