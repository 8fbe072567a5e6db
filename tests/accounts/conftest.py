from __future__ import annotations

import re

import pytest
from django.core.cache import cache
from django.urls import reverse

from portal.accounts.invitations import invite
from portal.accounts.models import Invitation, User
from portal.mail.models import Letter


@pytest.fixture(autouse=True)
def nothing_counted_yet():
    """Every test starts with fresh rate limits."""
    cache.clear()


@pytest.fixture
def someone(coach: User) -> User:
    return User.objects.create_user("someone@example.org", "Someone", User.Role.STUDENT)


def path_in(letter: Letter) -> str:
    """The path of the first address in a letter."""
    return re.search(r"http://testserver(\S+)", letter.text).group(1)


def invited(coach: User, email: str = "new@example.org", **changes: object) -> str:
    """The path of a new invitation, about nothing that another room knows."""
    values = {"role": "student", "name": "New Person", "way": Invitation.Way.LETTER, **changes}
    return invite(coach, "nobody:1", email=email, **values).removeprefix("http://testserver")


def is_signed_in(client, user: User) -> bool:
    page = client.get(reverse("accounts:profile"))
    return page.status_code == 200 and page.wsgi_request.user == user
