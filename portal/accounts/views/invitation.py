"""An invitation: who invites whom, and one button to accept."""

from __future__ import annotations

from allauth.decorators import rate_limit
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from portal.accounts.invitations import (
    CannotAccept,
    SignInFirst,
    SpentInvitation,
    accept_invitation,
)
from portal.accounts.links import local_path, sign_in_page
from portal.accounts.models import Invitation, hash_of
from portal.accounts.signing import sign_in

GONE = 410


@login_not_required
@never_cache
@require_http_methods(["GET", "POST"])
@rate_limit(action="invitation")
def invitation(request: HttpRequest, token: str) -> HttpResponse:
    """Show the invitation; on POST let the person in and link them to their place."""
    found = Invitation.objects.filter(token_hash=hash_of(token)).first()
    if found is None:
        return _spent(request, None)
    if found.state == Invitation.State.USED and request.user == found.accepted_by:
        return redirect(local_path(found.leads_to))
    if found.state != Invitation.State.OPEN:
        return _spent(request, found)
    if request.method == "GET":
        return render(request, "accounts/invitation.html", {"invitation": found})
    signed_in = request.user if request.user.is_authenticated else None
    try:
        user = accept_invitation(found, token, signed_in)
    except SignInFirst as refusal:
        messages.info(request, str(refusal))
        return redirect(sign_in_page(request.path))
    except SpentInvitation:
        found.refresh_from_db()
        return _spent(request, found)
    except CannotAccept as refusal:
        values = {"invitation": found, "refusal": str(refusal)}
        return render(request, "accounts/invitation.html", values, status=409)
    if request.user != user:
        sign_in(request, user)
    return redirect(local_path(found.leads_to))


def _spent(request: HttpRequest, found: Invitation | None) -> HttpResponse:
    return render(request, "accounts/invitation_spent.html", {"invitation": found}, status=GONE)
