"""Signing in with a passkey, the first run and the pages of people, in a real browser."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from playwright.sync_api import ConsoleMessage, Page, expect

from lessons.students.models import Guardian, Student
from portal.accounts.models import User
from tests.browser.conftest import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PASSKEYS = reverse("mfa_list_webauthn")


@pytest.fixture(autouse=True)
def nothing_counted_yet():
    cache.clear()


@pytest.fixture
def complaints(page: Page) -> list[str]:
    """What the browser complains of: blocked scripts and styles, errors."""
    heard: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"}:
            heard.append(message.text)

    page.on("console", hear)
    page.on("pageerror", lambda error: heard.append(str(error)))
    return heard


def with_authenticator(page: Page) -> None:
    """Give the browser a phone's lock: W3C WebAuthn's virtual authenticator."""
    devtools = page.context.new_cdp_session(page)
    devtools.send("WebAuthn.enable")
    options = {
        "protocol": "ctap2",
        "transport": "internal",
        "hasResidentKey": True,
        "hasUserVerification": True,
        "isUserVerified": True,
        "automaticPresenceSimulation": True,
    }
    devtools.send("WebAuthn.addVirtualAuthenticator", {"options": options})


def test_a_passkey_is_added_and_signs_in(
    page: Page, live_server, as_coach: Client, complaints: list[str]
):
    sign_in(page.context, live_server.url, as_coach)
    with_authenticator(page)
    page.goto(live_server.url + PASSKEYS)
    page.get_by_role("link", name="Add a passkey").click()
    page.get_by_label("Name").fill("The range phone")
    page.get_by_role("button", name="Make the passkey").click()
    expect(page.get_by_text("The range phone")).to_be_visible()
    page.goto(live_server.url + reverse("account_logout"))
    page.get_by_role("button", name="Sign out").click()
    page.goto(f"{live_server.url}{reverse('account_login')}?next={PASSKEYS}")
    page.get_by_role("button", name="Use a passkey").click()
    page.wait_for_url("**" + PASSKEYS)
    expect(page.get_by_text("The range phone")).to_be_visible()
    assert complaints == []


def test_a_passkey_that_fails_says_so_in_words(page: Page, live_server, coach: User):
    page.goto(live_server.url + reverse("account_login"))
    page.evaluate(
        """() => {
            const refuse = () => Promise.reject(new DOMException("", "NotAllowedError"));
            navigator.credentials.get = refuse;
        }"""
    )
    page.get_by_role("button", name="Use a passkey").click()
    expect(page.get_by_role("alert")).to_contain_text("use a code by e-mail")


@pytest.mark.browser_context_args(timezone_id="America/Lima")
def test_the_first_run_guesses_the_time_zone(page: Page, live_server, complaints: list[str]):
    page.goto(live_server.url)
    expect(page.get_by_role("heading", name="Welcome")).to_be_visible()
    expect(page.get_by_label("Time zone")).to_have_value("America/Lima")
    assert complaints == []


def assert_accessible(page: Page, path: str) -> None:
    """axe-core's rules, WCAG 2.2 A and AA among them, and nothing wider than the screen."""
    for size in ({"width": 390, "height": 844}, {"width": 1440, "height": 900}):
        page.set_viewport_size(size)
        found = Axe().run(page)
        assert found.violations_count == 0, f"{path} at {size}: {found.generate_report()}"
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_coachs_pages_are_accessible(
    page: Page, live_server, as_coach: Client, guardian: Guardian, student: Student, scheme: str
):
    Student.objects.update(cautions="Shoulder operation last year")
    page.emulate_media(color_scheme=scheme)
    sign_in(page.context, live_server.url, as_coach)
    for path in (
        reverse("students:list"),
        reverse("students:add"),
        reverse("students:student", args=[guardian.student_id]),
        reverse("students:paper", args=[guardian.pk]),
        reverse("accounts:profile"),
        reverse("accounts:password"),
        reverse("account_email"),
        PASSKEYS,
    ):
        page.goto(live_server.url + path)
        assert_accessible(page, path)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_doors_are_accessible(
    page: Page, live_server, as_guardian: Client, guardian: Guardian, scheme: str
):
    page.emulate_media(color_scheme=scheme)
    for path in (
        reverse("account_login"),
        reverse("password_sign_in"),
        reverse("accounts:invitation", args=["unknown"]),
    ):
        page.goto(live_server.url + path)
        assert_accessible(page, path)
    sign_in(page.context, live_server.url, as_guardian)
    consent = reverse("students:consent", args=[guardian.pk])
    page.goto(live_server.url + consent)
    assert_accessible(page, consent)
