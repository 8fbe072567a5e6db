"""Browsers that take pushes: taken on, and let go when they sign out."""

from __future__ import annotations

from django.contrib.auth.signals import user_logged_out
from django.dispatch import receiver
from django.http import HttpRequest

from portal.accounts.models import User, hash_of
from portal.notices.models import Subscription

NAMES = (
    *(("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android phone")),
    *(("Macintosh", "Mac"), ("Windows", "Windows computer"), ("Linux", "Linux computer")),
)


def subscribe(request: HttpRequest, endpoint: str, p256dh: str, auth: str) -> None:
    """Send this person's pushes to this browser; whoever was signed in there before gets none."""
    values = {
        "user": request.user,
        "p256dh": p256dh,
        "auth": auth,
        "label": device(request.headers.get("User-Agent", "")),
        "session_hash": hash_of(request.user.get_session_auth_hash()),
        "session_key_hash": hash_of(request.session.session_key or ""),
    }
    Subscription.objects.update_or_create(endpoint=endpoint, defaults=values)


def device(agent: str) -> str:
    """What to call a browser on the page: the device its User-Agent names."""
    return next((name for sign, name in NAMES if sign in agent), "A browser")


@receiver(user_logged_out)
def let_go(sender: object, request: HttpRequest, user: User | None, **kwargs: object) -> None:
    """Who signs out takes their notices off that browser."""
    key = request.session.session_key if request is not None else None
    if user is not None and key:
        Subscription.objects.filter(user=user, session_key_hash=hash_of(key)).delete()
