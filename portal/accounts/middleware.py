"""Each person's own time zone for the length of a request."""

from __future__ import annotations

import zoneinfo
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone


class TimeZoneMiddleware:
    """Activates the signed-in person's time zone; the coach's place otherwise."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        name = getattr(request.user, "time_zone", "")
        with timezone.override(zoneinfo.ZoneInfo(name) if name else None):
            return self.get_response(request)
