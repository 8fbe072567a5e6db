"""The two pages where one signs in; the first coach is led to the first run."""

from __future__ import annotations

from typing import Any

from allauth.account.views import LoginView
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.decorators import method_decorator

from portal.accounts.first_run import needs_first_coach
from portal.accounts.sign_in_forms import PasswordForm


class SignInView(LoginView):
    """Asks for the address and sends a code and a link to it."""

    @method_decorator(login_not_required)
    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.user.is_anonymous and needs_first_coach():
            return redirect("accounts:first")
        return super().dispatch(request, *args, **kwargs)


class PasswordSignInView(SignInView):
    """Asks for address and password."""

    template_name = "accounts/password_sign_in.html"

    def get_form_class(self) -> type[PasswordForm]:
        return PasswordForm
