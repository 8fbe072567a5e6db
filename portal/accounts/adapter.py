"""How allauth behaves here: nobody signs up by themself, letters go through portal.mail."""

from __future__ import annotations

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class AccountAdapter(DefaultAccountAdapter):
    """Accounts are made by the first run and by invitations only."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False
