"""One's own page: name, time zone, ways to sign in, signing out."""

from __future__ import annotations

from allauth.account.models import EmailAddress
from allauth.decorators import rate_limit
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from portal.accounts.forms import ProfileForm
from portal.accounts.parts import PROFILE_PARTS
from portal.accounts.signing import sign_out_elsewhere


@require_http_methods(["GET", "POST"])
def profile(request: HttpRequest) -> HttpResponse:
    """Show and change one's own name and time zone."""
    form = ProfileForm(request.POST or None, instance=request.user)
    if form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        return redirect("accounts:profile")
    values = {
        "form": form,
        "passkeys": request.user.authenticator_set.order_by("created_at"),
        "parts": [part(request) for part in PROFILE_PARTS],
        "new_address": EmailAddress.objects.get_new(request.user),
    }
    return render(request, "accounts/profile.html", values, status=422 if form.errors else 200)


@require_POST
@rate_limit(action="elsewhere")
def elsewhere(request: HttpRequest) -> HttpResponse:
    """Sign out every other phone of the person."""
    sign_out_elsewhere(request, request.user)
    messages.success(request, "Signed out everywhere but here.")
    return redirect("accounts:profile")
