"""One's own notices: switches, quiet hours, browsers; the way out of a letter in one click."""

from __future__ import annotations

import json

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import cache_control
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from portal.accounts.models import User
from portal.notices.browsers import subscribe
from portal.notices.forms import SubscriptionForm, WishesForm
from portal.notices.kinds import kind_named
from portal.notices.minding import wards_of
from portal.notices.models import Subscription
from portal.notices.pages import settings_context
from portal.notices.telling import permit, switch_letters
from portal.notices.unsubscribing import read_token


@require_http_methods(["GET", "HEAD", "POST"])
def wishes(request: HttpRequest) -> HttpResponse:
    """What one wants to hear of, how, and when not."""
    form = WishesForm(request.POST or None, user=request.user)
    if form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        return redirect("notices:wishes")
    status = 422 if form.is_bound else 200
    return render(request, "notices/wishes.html", settings_context(request, form), status=status)


@require_POST
def permission(request: HttpRequest, pk: int) -> HttpResponse:
    """A guardian's yes or no to notices for a junior."""
    ids = [ward.pk for ward in wards_of(request.user)]
    ward = get_object_or_404(User.objects.filter(pk__in=ids), pk=pk)
    allowed = request.POST.get("allowed") == "1"
    permit(ward, request.user, allowed=allowed)
    said = "gets notices now." if allowed else "gets no notices any more."
    messages.success(request, f"{ward} {said}")
    return redirect("notices:wishes")


@login_not_required
@csrf_exempt  # a mail program posts here by itself (RFC 8058), without any page of ours
@require_http_methods(["GET", "HEAD", "POST"])
def off(request: HttpRequest, token: str) -> HttpResponse:
    """Switch letters of one kind off. Opening the address changes nothing: programs look at it."""
    found = read_token(token)
    if found is None:
        return render(request, "notices/off.html", {"unknown": True}, status=404)
    user, kind = found
    state = "ask"
    if request.method == "POST":
        back = request.POST.get("back") == "1"
        switch_letters(user, kind, on=back)
        state = "back" if back else "off"
    context = {"kind": kind_named(kind), "state": state, "person": user}
    return render(request, "notices/off.html", context)


@require_POST
def browser(request: HttpRequest) -> HttpResponse:
    """A browser that takes pushes; sent again at each visit, so that it stays with who is in."""
    try:
        sent = json.loads(request.body)
        keys = sent["keys"]
        data = {"endpoint": sent["endpoint"], "p256dh": keys["p256dh"], "auth": keys["auth"]}
    except (ValueError, KeyError, TypeError):
        return JsonResponse({"detail": "The browser's answer could not be read."}, status=400)
    form = SubscriptionForm(data)
    if not form.is_valid():
        first = next(iter(form.errors.values()))[0]
        return JsonResponse({"detail": first}, status=422)
    subscribe(request, **form.cleaned_data)
    return HttpResponse(status=204)


@require_POST
def forget(request: HttpRequest, pk: int) -> HttpResponse:
    """No more pushes to one of one's browsers."""
    get_object_or_404(Subscription.objects.visible_to(request.user), pk=pk).delete()
    messages.success(request, "No more notices there.")
    return redirect("notices:wishes")


@login_not_required
@require_safe
@cache_control(no_cache=True)
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker that shows pushes. Its folder is its scope, apart from any other."""
    return render(request, "notices/worker.js", content_type="text/javascript")
