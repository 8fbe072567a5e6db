"""A kind to tell of, a browser with its keys, and a push service that runs here."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from django.test import Client
from django.urls import reverse

from portal.accounts.models import User
from portal.notices import kinds, tasks
from portal.notices.keys import b64
from tests.notices.push_service import PushService

KIND = "test-kind"


class Browser:
    """The keys that a browser makes for a subscription (RFC 8291, section 3.1 and 3.2)."""

    def __init__(self) -> None:
        self.key = ec.generate_private_key(ec.SECP256R1())
        self.secret = os.urandom(16)

    def says(self, endpoint: str) -> dict[str, object]:
        """What PushSubscription.toJSON gives."""
        point = self.key.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
        keys = {"p256dh": b64(point), "auth": b64(self.secret)}
        return {"endpoint": endpoint, "expirationTime": None, "keys": keys}


@pytest.fixture
def kind(monkeypatch: pytest.MonkeyPatch) -> str:
    """One more kind than the rooms of the site register."""
    monkeypatch.setattr(kinds, "_kinds", dict(kinds._kinds))
    kinds.register_kind(KIND, "Something happened", "A test tells of it.")
    return KIND


@pytest.fixture
def browser() -> Browser:
    return Browser()


@pytest.fixture
def service(settings) -> Iterator[PushService]:
    settings.PUSH_TO_LOCAL = True
    with PushService() as running:
        yield running


@pytest.fixture
def no_worker(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Nothing is sent to a broker; the keys of what would have been are noted."""
    sent: list[int] = []
    for task in (tasks.push, tasks.tell_held):
        monkeypatch.setattr(task, "delay", sent.append)
    return sent


def take_pushes(client: Client, browser: Browser, endpoint: str) -> None:
    """Let the signed-in person's browser take pushes at an endpoint."""
    url = reverse("notices:browser")
    answer = client.post(url, browser.says(endpoint), content_type="application/json")
    assert answer.status_code == 204, answer.content


def letter_context(user: User) -> dict[str, object]:
    """What the letter of a consent given is rendered with: any letter will do."""
    person = {"name": "Somebody"}
    return {"coach": user, "guardian": person, "student": person, "url": "https://example.org/"}
