"""One-use links that sign a known person in and lead to a page."""

from __future__ import annotations

import datetime

from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme, urlencode

from portal.accounts.models import SignInLink, User, hash_of

LINK_LIFE = datetime.timedelta(days=14)
LONGEST_PATH = 200


def local_path(path: str) -> str:
    """The path if it stays on this site, else the first page."""
    local = path.startswith("/") and url_has_allowed_host_and_scheme(path, allowed_hosts=None)
    return path if local and len(path) <= LONGEST_PATH else "/"


def sign_in_url(user: User, leads_to: str = "/", life: datetime.timedelta = LINK_LIFE) -> str:
    """The absolute address of a new link for `user`; works once and until `life` is over.

    `leads_to` is a path of this site. Only the token's hash is stored, so the address can be
    written into a letter now and never again.
    """
    token = SignInLink.new_token()
    SignInLink.objects.create(
        token_hash=hash_of(token),
        expires_at=timezone.now() + life,
        user=user,
        leads_to=local_path(leads_to),
    )
    return settings.SITE_URL + reverse("accounts:enter", args=[token])


def forget_links(user: User) -> None:
    """Make every unused link of the person worthless."""
    SignInLink.objects.filter(user=user, used_at__isnull=True).delete()


def prove_address(user: User) -> None:
    """Remember that the person reads the letters sent to their address."""
    unproven = User.objects.filter(pk=user.pk, address_proven_at__isnull=True)
    unproven.update(address_proven_at=timezone.now())


def sign_in_page(leads_to: str) -> str:
    """The path of the sign-in page that leads on to a path of this site."""
    return f"{reverse('account_login')}?{urlencode({'next': local_path(leads_to)})}"
