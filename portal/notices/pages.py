"""What the pages show of notices."""

from __future__ import annotations

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from portal.notices.forms import WishesForm
from portal.notices.keys import public_key
from portal.notices.minding import minders_of, wards_of
from portal.notices.models import Permission, Subscription
from portal.notices.telling import may_be_told


def settings_context(request: HttpRequest, form: WishesForm) -> dict[str, object]:
    """The page of one's notices."""
    user = request.user
    wards = wards_of(user)
    history = Permission.objects.filter(user__in=wards)
    return {
        "form": form,
        "public_key": public_key(),
        "browsers": Subscription.objects.live(user),
        "minded": minders_of(user) is not None,
        "allowed": may_be_told(user),
        "wards": [
            (ward, may_be_told(ward), [row for row in history if row.user_id == ward.pk])
            for ward in wards
        ],
    }


def profile_part(request: HttpRequest) -> SafeString:
    """The line on one's own page that leads to the notices."""
    context = {"public_key": public_key()}
    return render_to_string("notices/_profile.html", context, request)
