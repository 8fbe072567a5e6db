"""A sign-in link: shown first, used by a button, so that mail scanners don't use it up."""

from __future__ import annotations

from allauth.decorators import rate_limit
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from portal.accounts.links import local_path, prove_address, sign_in_page
from portal.accounts.models import SignInLink, hash_of
from portal.accounts.signing import sign_in


@login_not_required
@never_cache
@require_http_methods(["GET", "POST"])
@rate_limit(action="enter")
def enter(request: HttpRequest, token: str) -> HttpResponse:
    """Sign the link's person in and lead to its page."""
    link = SignInLink.objects.filter(token_hash=hash_of(token)).select_related("user").first()
    leads_to = local_path(link.leads_to) if link else "/"
    if link and request.user == link.user:
        return redirect(leads_to)
    if link and link.user.is_active:
        if request.method == "POST" and SignInLink.use(token):
            sign_in(request, link.user)
            prove_address(link.user)
            return redirect(leads_to)
        if request.method == "GET" and link.is_open:
            return render(request, "accounts/enter.html", {"link": link})
    messages.info(request, "That link has been used or is too old. Sign in to go on.")
    return redirect(sign_in_page(leads_to))
