"""What the phone asks for: the web app's manifest and worker, what to keep, logs that waited."""

from __future__ import annotations

import time

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from lessons.practice.forms import QueuedForm
from lessons.practice.kit import kit_of
from lessons.practice.pages import may_log
from lessons.practice.service import AlreadyLoggedError, NotTakenError, keep_later
from lessons.practice.today import newest_lesson
from lessons.practice.views.logs import given_or_404
from lessons.practice.views.today import own_students
from lessons.practice.who import who_of

KEPT, OTHER_PERSON, REFUSED, INVALID = 200, 403, 409, 422


@login_not_required
@require_safe
def manifest(request: HttpRequest) -> JsonResponse:
    """The W3C web app manifest."""

    def icon(name: str, size: str, purpose: str = "any") -> dict[str, str]:
        src = static(f"practice/icons/{name}.png")
        return {"src": src, "sizes": size, "type": "image/png", "purpose": purpose}

    return JsonResponse(
        {
            "id": "/",
            "name": "Carryover",
            "short_name": "Carryover",
            "description": "Your golf lessons, and practice until the next one.",
            "start_url": reverse("practice:today"),
            "scope": "/",
            "display": "standalone",
            "background_color": "#fbf8f1",
            "theme_color": "#fbf8f1",
            "icons": [
                icon("icon-192", "192x192"),
                icon("icon-512", "512x512"),
                icon("maskable-512", "512x512", "maskable"),
            ],
        },
        content_type="application/manifest+json",
    )


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker. It stands at the root, so that it may serve every page."""
    code = f'import "{static("practice/phone/worker.js")}";\n'
    response = HttpResponse(code, content_type="text/javascript; charset=utf-8")
    response["Service-Worker-Allowed"] = "/"
    response["Cache-Control"] = "no-cache"
    return response


@login_not_required
@require_safe
def no_signal(request: HttpRequest) -> HttpResponse:
    """What the phone shows for a page that it does not keep. Says nothing of anyone."""
    return render(request, "practice/no_signal.html")


@never_cache
@require_safe
def who(request: HttpRequest) -> JsonResponse:
    """Who is signed in, by an opaque name, and the token that a form needs."""
    if not may_log(request.user):
        raise Http404
    return JsonResponse({"who": who_of(request.user), "token": get_token(request)})


@never_cache
@require_safe
def kit(request: HttpRequest) -> JsonResponse:
    """What to keep for a place without a signal."""
    newest = [newest_lesson(student, request.user) for student in own_students(request)]
    kept = kit_of([lesson for lesson in newest if lesson])
    return JsonResponse({"who": who_of(request.user), **kept})


@never_cache
@require_POST
def keep(request: HttpRequest, pk: int) -> JsonResponse:
    """A log that waited on the phone: 200 kept, 403 another person's, 409 refused, 422 wrong."""
    # Asked first: a log of somebody else's must wait on the phone, not be told that it is refused
    if request.POST.get("who", who_of(request.user)) != who_of(request.user):
        return JsonResponse({"why": "Another person is signed in."}, status=OTHER_PERSON)
    assignment = given_or_404(request, pk)
    form = QueuedForm(request.POST)
    if not form.is_valid():
        return JsonResponse({"why": form.first_error}, status=INVALID)
    said = form.cleaned_data
    try:
        log = keep_later(
            assignment,
            request.user,
            said["day"],
            form.amount,
            client_id=said["client_id"],
            felt=said["felt"],
            note=said["note"],
            hurt=said["hurt"],
            again=said["again"],
        )
    except NotTakenError as reason:
        may_add = isinstance(reason, AlreadyLoggedError)
        return JsonResponse({"why": str(reason), "may_add": may_add}, status=REFUSED)
    told = {"kept": log.pk, "day": log.day.isoformat(), "at": time.time()}
    return JsonResponse(told, status=KEPT)
