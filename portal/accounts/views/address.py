"""Changing the address one signs in with: the new one is proven by its letter first."""

from __future__ import annotations

from typing import Any

from allauth.account.models import EmailAddress, EmailConfirmation
from allauth.account.views import ConfirmEmailView, EmailView
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.decorators import method_decorator

from portal.accounts.models import User
from portal.accounts.sign_in_forms import AddressForm


class ChangeAddressView(EmailView):
    """Asks for the new address and sends its letter."""

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        # allauth keeps addresses in rows of its own. Without one for the address that holds, it
        # would put a new one in its place before that is proven
        EmailAddress.objects.update_or_create(
            user=request.user,
            email=request.user.email,
            defaults={"primary": True, "verified": True},
        )
        return super().dispatch(request, *args, **kwargs)

    def get_form_class(self) -> type[AddressForm]:
        return AddressForm


@method_decorator(login_not_required, name="dispatch")
class ConfirmAddressView(ConfirmEmailView):
    """The link in that letter: a button makes the change."""

    def get_object(self, queryset: object = None) -> EmailConfirmation:
        """The confirmation, unless somebody else came to use the address meanwhile."""
        found = super().get_object(queryset)
        address = found.email_address
        if User.objects.filter(email=address.email).exclude(pk=address.user_id).exists():
            raise Http404
        return found
