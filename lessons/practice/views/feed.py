"""One's private calendar: the feed by its secret address, and the page that makes the address."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from lessons.practice.calendar import (
    calendar_of,
    calendar_url,
    close_calendar,
    open_calendar,
    owner_of,
)
from lessons.practice.models import CalendarAddress
from portal.accounts.middleware import time_zone_of


@login_not_required  # a calendar program has only the address
@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """The calendar as text/calendar; 404 for an address that opens nothing."""
    user = owner_of(token)
    if user is None:
        raise Http404
    with timezone.override(time_zone_of(user.time_zone)):
        text = calendar_of(user, timezone.now())
    response = HttpResponse(text, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'inline; filename="golf.ics"'
    response["Cache-Control"] = "private, max-age=900"
    response["X-Robots-Tag"] = "noindex"
    return response


@require_http_methods(["GET", "HEAD", "POST"])
def calendar(request: HttpRequest) -> HttpResponse:
    """The address of one's calendar: make it, make a new one, take it back."""
    if request.method == "POST":
        if "close" in request.POST:
            if close_calendar(request.user):
                messages.success(request, "Taken back. The old address opens nothing any more.")
        else:
            open_calendar(request.user)
            messages.success(request, "This is your address now. An older one opens nothing.")
        return redirect("practice:calendar")
    address = CalendarAddress.objects.visible_to(request.user).first()
    url = calendar_url(address) if address else ""
    context = {"url": url, "webcal": url.replace("https:", "webcal:").replace("http:", "webcal:")}
    return render(request, "practice/calendar.html", context)
