"""Whose private pages a phone keeps: an opaque name of the person, told with every page.

The phone's worker compares it with the name it kept pages for; another name, or nobody's, and
what it kept is deleted (static/practice/phone/worker.js).
"""

from __future__ import annotations

from collections.abc import Callable

from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import salted_hmac

from portal.accounts.models import User

NOBODY = "nobody"
HEADER = "Carryover-Who"


def who_of(user: User | AnonymousUser) -> str:
    """The same for a person on every phone and day; says nothing of them to anyone else."""
    if not user.is_authenticated:
        return NOBODY
    return salted_hmac("lessons.practice.who", str(user.pk), algorithm="sha256").hexdigest()[:24]


class WhoMiddleware:
    """Says with every page who is signed in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if response.get("Content-Type", "").startswith("text/html"):
            response[HEADER] = who_of(request.user)
        return response
