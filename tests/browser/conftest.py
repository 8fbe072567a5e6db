"""Debian's Chromium, driven by Playwright, against a running site."""

from __future__ import annotations

import os
import time

import pytest
from django.test import Client
from playwright.sync_api import BrowserContext, Page, expect

from tests.chromium import FLAGS, lightest
from tests.clips.conftest import (  # noqa: F401 - fixtures
    late_file,
    no_worker,
    ready_clip,
    send_in,
    swing_file,
)
from tests.servers import need

# Playwright runs a loop of its own in the test's thread; Django takes it for an asynchronous caller
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
# Two test processes with a browser each may keep a small machine's page waiting
expect.set_options(timeout=15_000)


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict) -> dict:
    """Chromium as Debian packages it, not a download."""
    return {**browser_type_launch_args, "executable_path": need(lightest()), "args": FLAGS}


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict) -> dict:
    """A page by itself: what a phone keeps in the background has tests of its own."""
    return {**browser_context_args, "service_workers": "block"}


def sign_in(context: BrowserContext, url: str, client: Client) -> None:
    """Let a browser be the person who is signed in to the test client."""
    session = client.cookies["carryover_session"].value
    context.add_cookies([{"name": "carryover_session", "value": session, "url": url}])


def until(page: Page, expression: str, seconds: float = 10.0) -> None:
    """Wait until the page's answer is true.

    Playwright's own wait asks from inside the page, where the site's policy forbids it.
    """
    deadline = time.monotonic() + seconds
    while not page.evaluate(expression):
        assert time.monotonic() < deadline, f"not within {seconds:.0f} s: {expression}"
        page.wait_for_timeout(50)
