"""A password for somebody who wants one: set, changed or done away with."""

from __future__ import annotations

from allauth.account.decorators import reauthentication_required
from allauth.decorators import rate_limit
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from portal.accounts.forms import NewPasswordForm
from portal.accounts.passwords import drop_password, set_password


@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
@rate_limit(action="change_password")
@reauthentication_required(app="portal.accounts")
def password(request: HttpRequest) -> HttpResponse:
    """Set a new password, or go back to codes, links and passkeys."""
    if request.method == "POST" and request.POST.get("drop"):
        drop_password(request, request.user)
        messages.success(request, "Your password is gone. Sign in by code, link or passkey.")
        return redirect("accounts:profile")
    form = NewPasswordForm(request.POST or None, user=request.user)
    if form.is_valid():
        set_password(request, request.user, form.cleaned_data["password"])
        messages.success(request, "Your new password holds from now on.")
        return redirect("accounts:profile")
    status = 422 if form.errors else 200
    return render(request, "accounts/password.html", {"form": form}, status=status)
