"""Each person's own time zone for the length of a request."""

from __future__ import annotations

import zoneinfo
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone


def time_zone_of(name: str) -> zoneinfo.ZoneInfo | None:
    """The zone of that name, or None if it is empty or not known to this machine."""
    try:
        return zoneinfo.ZoneInfo(name) if name else None
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        # ValueError: a path instead of a name; OSError: a folder such as 'Europe'
        return None


class TimeZoneMiddleware:
    """Activates the signed-in person's time zone; the coach's place otherwise."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with timezone.override(time_zone_of(getattr(request.user, "time_zone", ""))):
            return self.get_response(request)
