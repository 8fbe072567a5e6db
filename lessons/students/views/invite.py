"""Inviting a student or a guardian: by letter, or by a code on the coach's screen."""

from __future__ import annotations

import io

import segno
from allauth.decorators import rate_limit
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from lessons.students.inviting import CannotInvite, invite_person, withdraw_invitation
from lessons.students.views.loading import home_of, person_of_coach
from portal.accounts.first_run import is_loopback
from portal.accounts.models import Invitation


@never_cache
@require_POST
@rate_limit(action="invite")
def invite(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Send the invitation, or show it; earlier ones of the same person stop working."""
    person = person_of_coach(request, kind, pk)
    on_screen = request.POST.get("way") == Invitation.Way.SCREEN
    way = Invitation.Way.SCREEN if on_screen else Invitation.Way.LETTER
    try:
        url = invite_person(person, request.user, way)
    except CannotInvite as refusal:
        messages.error(request, str(refusal))
        return redirect("students:student", home_of(person))
    if not on_screen:
        messages.success(request, f"A letter to {person.email} is on its way.")
        return redirect("students:student", home_of(person))
    values = {
        "person": person,
        "kind": kind,
        "student_pk": home_of(person),
        "picture": qr_picture(url),
        "only_here": is_loopback(settings.SITE_HOST),
        "url": url,
    }
    return render(request, "students/code.html", values)


@require_safe
def arrived(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Whether the person has signed in by now: asked by the page that shows the code."""
    person = person_of_coach(request, kind, pk)
    values = {"person": person, "kind": kind, "student_pk": home_of(person)}
    return render(request, "students/_arrived.html", values)


@require_POST
def withdraw(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Make the open invitation worthless."""
    person = person_of_coach(request, kind, pk)
    if withdraw_invitation(person):
        messages.success(request, f"The invitation of {person.name} is withdrawn.")
    return redirect("students:student", home_of(person))


def qr_picture(url: str) -> SafeString:
    """The address as a QR code (ISO/IEC 18004): an SVG that scales, dark on white."""
    drawn = io.BytesIO()
    segno.make(url, error="m", micro=False).save(
        drawn, kind="svg", xmldecl=False, svgns=True, omitsize=True, border=4, light="#fff"
    )
    return mark_safe(drawn.getvalue().decode())  # noqa: S308 - drawn by segno, holds no text
