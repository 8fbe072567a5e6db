"""The first run: the first coach introduces themself."""

from __future__ import annotations

from allauth.decorators import rate_limit
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from portal.accounts.first_run import CoachExists, is_own_machine, make_coach, needs_first_coach
from portal.accounts.forms import FirstCoachForm
from portal.accounts.signing import sign_in


@login_not_required
@never_cache
@sensitive_post_parameters("password", "code")
@require_http_methods(["GET", "POST"])
@rate_limit(action="first_run")
def first(request: HttpRequest) -> HttpResponse:
    """Ask who the coach is; once there is one, this page is gone."""
    if not needs_first_coach():
        raise Http404
    form = FirstCoachForm(
        request.POST or None,
        ask_code=not is_own_machine(request),
        initial={"code": request.GET.get("code", "")},
    )
    if form.is_valid():
        asked = form.cleaned_data
        try:
            coach = make_coach(
                asked["email"],
                asked["name"],
                time_zone=asked["time_zone"],
                password=asked["password"],
                first=True,
            )
        except CoachExists:
            raise Http404 from None
        sign_in(request, coach)
        return redirect("students:list")
    return render(
        request, "accounts/first.html", {"form": form}, status=422 if form.errors else 200
    )
