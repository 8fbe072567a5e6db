"""The page a watchdog asks, and the command that says the same."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import call_command
from django.test import Client

from portal.operations import health

pytestmark = pytest.mark.django_db


def test_it_needs_no_sign_in_and_names_only_the_parts(as_nobody: Client):
    answer = as_nobody.get("/health/")
    assert answer.status_code == 200
    assert answer.json() == {
        "well": True,
        "parts": {"database": True, "broker": True, "files": True, "disk": True},
    }


def test_it_rejects_post(as_nobody: Client):
    assert as_nobody.post("/health/").status_code == 405


def test_a_full_disk_is_not_well(as_nobody: Client, monkeypatch, caplog):
    monkeypatch.setattr(health, "LEAST_FREE_BYTES", 10**18)
    answer = as_nobody.get("/health/")
    caplog.clear()  # Django logs every answer of 500 and above as an error, as it should here
    assert answer.status_code == 503
    assert answer.json()["parts"]["disk"] is False


def test_a_broker_that_is_away_is_not_well(monkeypatch, settings):
    from portal.celery import app

    monkeypatch.setattr(health, "current_app", _App("redis://127.0.0.1:1/0", app))
    assert not health._broker().well


class _App:
    """The Celery application, pointed at a broker that is not there."""

    def __init__(self, url: str, app: object) -> None:
        self.url, self.app = url, app

    def connection_for_write(self) -> object:
        return self.app.connection_for_write(self.url, transport=self.url.partition(":")[0])


def test_the_command_says_what_is_well_and_ends_with_1_if_something_is_not(monkeypatch):
    out = StringIO()
    call_command("health", stdout=out)
    assert "database   well" in out.getvalue()
    monkeypatch.setattr(health, "LEAST_FREE_BYTES", 10**18)
    with pytest.raises(SystemExit) as ended:
        call_command("health", stdout=out)
    assert ended.value.code == 1
    assert "disk       NOT WELL" in out.getvalue()
