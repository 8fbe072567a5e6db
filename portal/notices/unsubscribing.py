"""One click out of a kind of letter (RFC 8058): addresses that work without signing in."""

from __future__ import annotations

from django.conf import settings
from django.core import signing
from django.urls import reverse

from portal.accounts.models import User
from portal.notices.kinds import is_kind

SALT = "portal.notices.unsubscribing"


def off_url(user: User, kind: str) -> str:
    """The absolute address that switches letters of this kind off for this person. No end date."""
    token = signing.Signer(salt=SALT).sign(f"{user.pk}.{kind}")
    return settings.SITE_URL + reverse("notices:off", args=[token])


def read_token(token: str) -> tuple[User, str] | None:
    """The person and the kind an address stands for; None if it was not made here."""
    try:
        said = signing.Signer(salt=SALT).unsign(token)
    except signing.BadSignature:
        return None
    key, _, kind = said.partition(".")
    user = User.objects.filter(pk=key, is_active=True).first()
    return (user, kind) if user and is_kind(kind) else None


def headers(url: str) -> dict[str, str]:
    """RFC 8058, section 3.1: both headers, for a POST that needs no page."""
    return {"List-Unsubscribe": f"<{url}>", "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"}
