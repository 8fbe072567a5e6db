"""The pages of allauth that are wanted here, under the names it knows them by.

Signing up, social accounts, password letters and second steps are left out, not hidden.
"""

from __future__ import annotations

from allauth.account import views as account
from allauth.mfa.webauthn import views as passkeys
from django.contrib.auth.decorators import login_not_required, login_required
from django.urls import path
from django.views.generic import RedirectView

from portal.accounts.views.address import ChangeAddressView, ConfirmAddressView
from portal.accounts.views.sign_in import PasswordSignInView, SignInView

ask_for_code = login_not_required(
    RedirectView.as_view(pattern_name="account_login", query_string=True)
)
list_of_passkeys = RedirectView.as_view(pattern_name="mfa_list_webauthn")

urlpatterns = [
    path("login/", SignInView.as_view(), name="account_login"),
    path("login/password/", PasswordSignInView.as_view(), name="password_sign_in"),
    path("login/code/", ask_for_code, name="account_request_login_code"),
    path("login/code/confirm/", account.confirm_login_code, name="account_confirm_login_code"),
    path("login/passkey/", passkeys.login_webauthn, name="mfa_login_webauthn"),
    path("logout/", account.logout, name="account_logout"),
    path("inactive/", account.account_inactive, name="account_inactive"),
    path("again/", account.reauthenticate, name="account_reauthenticate"),
    path("again/passkey/", passkeys.reauthenticate_webauthn, name="mfa_reauthenticate_webauthn"),
    path("email/", login_required(ChangeAddressView.as_view()), name="account_email"),
    path("email/sent/", account.email_verification_sent, name="account_email_verification_sent"),
    path("email/confirm/<str:key>/", ConfirmAddressView.as_view(), name="account_confirm_email"),
    path("passkeys/", passkeys.list_webauthn, name="mfa_list_webauthn"),
    path("passkeys/index/", list_of_passkeys, name="mfa_index"),
    path("passkeys/add/", passkeys.add_webauthn, name="mfa_add_webauthn"),
    path("passkeys/<int:pk>/edit/", passkeys.edit_webauthn, name="mfa_edit_webauthn"),
    path("passkeys/<int:pk>/remove/", passkeys.remove_webauthn, name="mfa_remove_webauthn"),
]
