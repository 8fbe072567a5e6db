"""A push as the browser shows it, in Chromium.

No push service is asked: Chromium's own debugging protocol (ServiceWorker.deliverPushMessage)
hands the worker what a service would.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from portal.notices.models import Subscription
from tests.browser.conftest import sign_in, until
from tests.notices.conftest import Browser as Subscriber
from tests.servers import need

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def browser(launch_browser: Callable[..., Browser]) -> Iterator[Browser]:
    """Chromium with its desktop's interface, which is what shows a notification."""
    with launch_browser(executable_path=need("chromium")) as browser:
        yield browser


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict) -> dict:
    """Pushes are shown by a service worker, so here they are let in."""
    return {**browser_context_args, "service_workers": "allow"}


@pytest.fixture
def wishes(page: Page, live_server: LiveServer, as_student: Client) -> Page:
    sign_in(page.context, live_server.url, as_student)
    page.context.grant_permissions(["notifications"], origin=live_server.url)
    page.set_viewport_size(PHONE)
    page.goto(live_server.url + reverse("notices:wishes"))
    return page


def test_the_worker_shows_what_is_pushed(wishes: Page, live_server: LiveServer):
    wishes.evaluate(
        """async (url) => {
            const worker = (await navigator.serviceWorker.register(url)).installing;
            await new Promise((done) => worker.addEventListener("statechange",
                () => worker.state === "activated" && done()));
        }""",
        reverse("notices:worker"),
    )
    session = wishes.context.new_cdp_session(wishes)
    found: list[dict] = []
    session.on(
        "ServiceWorker.workerRegistrationUpdated", lambda e: found.extend(e["registrations"])
    )
    session.send("ServiceWorker.enable")
    wishes.wait_for_timeout(300)
    (registration,) = [one for one in found if one["scopeURL"].endswith("/notices/")]
    said = {"title": "Carryover", "body": "Your coach answered", "url": "/questions/1/", "tag": "a"}
    session.send(
        "ServiceWorker.deliverPushMessage",
        {
            "origin": live_server.url,
            "registrationId": registration["registrationId"],
            "data": json.dumps(said),
        },
    )
    until(
        wishes,
        """async () => {
            const registration = await navigator.serviceWorker.getRegistration("/notices/");
            return (await registration.getNotifications()).length === 1;
        }""",
    )
    shown = wishes.evaluate(
        """async () => {
            const registration = await navigator.serviceWorker.getRegistration("/notices/");
            const [one] = await registration.getNotifications();
            return [one.title, one.body, one.data.url];
        }"""
    )
    assert shown == ["Carryover", "Your coach answered", "/questions/1/"]


def test_the_button_asks_and_says_when_the_service_is_away(wishes: Page):
    wishes.evaluate(
        """() => { PushManager.prototype.subscribe =
            () => Promise.reject(new DOMException("away", "AbortError")); }"""
    )
    button = wishes.get_by_role("button", name="Show notices here")
    button.click()
    expect(wishes.locator("[data-words]")).to_contain_text("push service can't be reached now")
    expect(button).to_be_enabled()


def test_a_browser_that_takes_pushes_is_on_the_list_and_can_be_taken_off(wishes: Page):
    wishes.evaluate(
        "(said) => { PushManager.prototype.subscribe = async () => said; }",
        Subscriber().says("https://push.example.org/1"),
    )
    wishes.get_by_role("button", name="Show notices here").click()
    stop = wishes.get_by_role("button", name="Stop notices on Linux computer")
    expect(stop).to_be_visible()
    assert Subscription.objects.get().endpoint == "https://push.example.org/1"
    stop.click()
    expect(wishes.get_by_text("No more notices there.")).to_be_visible()
    assert not Subscription.objects.exists()


def test_switches_are_kept_by_thumb(wishes: Page):
    wishes.get_by_label("Your coach writes: by push").uncheck()
    wishes.get_by_label("Quiet from").fill("21:00")
    wishes.get_by_label("Quiet until").fill("07:00")
    wishes.get_by_role("button", name="Save").click()
    expect(wishes.get_by_text("Saved.")).to_be_visible()
    expect(wishes.get_by_label("Your coach writes: by push")).not_to_be_checked()
    expect(wishes.get_by_label("Quiet from")).to_have_value("21:00")
    assert wishes.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
