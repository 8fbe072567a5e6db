"""The first coach: who may make that account, and making it."""

from __future__ import annotations

import ipaddress

from django.conf import settings
from django.db import transaction
from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac

from portal.accounts.models import User


class CoachExists(Exception):
    """Somebody else was first."""


def needs_first_coach() -> bool:
    return not User.objects.filter(role=User.Role.COACH).exists()


def setup_code() -> str:
    """The code that opens the first run from elsewhere: who can read it runs the site.

    Made from the secret key, so nothing is stored; worthless once there is a coach.
    """
    digest = salted_hmac(
        "portal.accounts.setup_code", "first coach", algorithm="sha256"
    ).hexdigest()
    return "-".join(digest[start : start + 4] for start in range(0, 16, 4))


def setup_url() -> str:
    """The absolute address of the first run, with its code."""
    return f"{settings.SITE_URL}{reverse('accounts:first')}?code={setup_code()}"


def right_code(given: str) -> bool:
    return constant_time_compare(given.strip().lower(), setup_code())


def is_own_machine(request: HttpRequest) -> bool:
    """True if the site is one for this machine only, and the request comes from it.

    A reverse proxy on the same machine also connects from loopback: a site with an address that
    others can reach, or behind a proxy, always asks for the code.
    """
    return (
        not settings.BEHIND_PROXY
        and "X-Forwarded-For" not in request.headers
        and is_loopback(settings.SITE_HOST)
        and is_loopback(request.META.get("REMOTE_ADDR", ""))
    )


def is_loopback(host: str) -> bool:
    """True for localhost and the addresses that only this machine reaches."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


@transaction.atomic
def make_coach(
    email: str, name: str, *, time_zone: str = "", password: str = "", first: bool = False
) -> User:
    """Make a coach; with `first`, only while there is none (raises CoachExists)."""
    if first and not needs_first_coach():
        raise CoachExists
    # Whoever may make this account is taken at their word about its address
    return User.objects.create_user(
        email,
        name,
        User.Role.COACH,
        password or None,
        time_zone=time_zone,
        address_proven_at=timezone.now(),
    )
