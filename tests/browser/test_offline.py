"""A phone at a range without a signal, in Chromium, against a site that can be switched off."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, Playwright, expect

from media_tools.mannequin import Film, TimedSwing, film
from tests.browser.conftest import FLAGS
from tests.running import Site
from tests.servers import need, wait_until

pytestmark = pytest.mark.browser

PHONE = {"width": 390, "height": 844}
FILL = """
import json
from pathlib import Path
from django.core.files import File
from django.test import Client
from PIL import Image
from tests import factories
coach = factories.CoachFactory()
clip = factories.ClipFactory(lesson=None, coach=coach, ready=True, width_px=320, height_px=240)
with open({film!r}, "rb") as stream:
    clip.watch.save("watch.mp4", File(stream))
Image.new("RGB", (320, 240), "green").save({poster!r})
with open({poster!r}, "rb") as stream:
    clip.poster.save("poster.jpg", File(stream))
told = {{}}
for name in ("Robin", "Sam"):
    student = factories.StudentFactory(coach=coach, name=name)
    lesson = factories.LessonFactory(student=student, posted=True, date="2025-01-01",
                                     next_visit="2099-01-01")
    lesson.posted_at = lesson.posted_at.replace(year=2025, month=1, day=1)
    lesson.save()
    factories.RecapFactory(lesson=lesson)
    for drill, reps in (("sway gate", 3), ("feet together", 2)):
        given = factories.AssignmentFactory(lesson=lesson, name=drill, sets=1, reps=reps,
                                            days_a_week=7, clip=clip, feel="The pocket turns back.")
        given.__class__.objects.filter(pk=given.pk).update(created_at=lesson.posted_at)
    client = Client()
    client.force_login(student.user)
    told[name] = dict(session=client.cookies["carryover_session"].value, lesson=lesson.pk)
print(json.dumps(told))
"""
LOGS = """
import json
from lessons.practice.models import Log
logs = Log.objects.order_by("pk").select_related("assignment")
print(json.dumps([[log.assignment.name, log.by.name, str(log.day), log.percent, log.felt, log.note]
                  for log in logs]))
"""


class House:
    """A site that can be switched off and on, and a phone that can be closed and opened."""

    def __init__(self, site: Site, people: dict, profile: Path, playwright: Playwright) -> None:
        self.site, self.people, self.profile, self.playwright = site, people, profile, playwright
        self.running = ExitStack()
        self.context: BrowserContext | None = None

    def on(self) -> None:
        self.running.enter_context(self.site.web())
        if self.context:
            self.context.set_offline(False)

    def off(self) -> None:
        """No signal: neither the network nor the site is there."""
        self.running.close()
        assert self.context
        self.context.set_offline(True)

    def open(self) -> Page:
        self.context = self.playwright.chromium.launch_persistent_context(
            self.profile, executable_path=need("chromium"), args=FLAGS, viewport=PHONE
        )
        return self.context.pages[0]

    def close_browser(self) -> None:
        assert self.context
        self.context.close()
        self.context = None

    def sign_in(self, name: str) -> None:
        assert self.context
        cookie = {"name": "carryover_session", "value": self.people[name]["session"]}
        # With an end, so that it outlives the browser
        self.context.add_cookies([{**cookie, "url": self.site.url, "expires": time.time() + 9e5}])

    def today(self, page: Page) -> None:
        page.goto(f"{self.site.url}/today/")

    def kept(self, page: Page) -> None:
        """Today's page, with all that the phone keeps."""
        self.today(page)
        expect(page.locator("[data-kept]")).to_contain_text("Works without a signal", timeout=30000)
        expect(page.locator("[data-kept]")).not_to_contain_text("missing")

    def logs(self) -> list[list]:
        return json.loads(self.site.python(LOGS))


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> tuple[Site, dict]:
    """Two students of one coach, their drills filmed; static files as hosts have them."""
    folder = tmp_path_factory.mktemp("offline")
    clip = folder / "drill.mp4"
    film(Film(size_px=(320, 240), fps=30, swings=(TimedSwing(0.3),), duration_s=2), clip)
    site = Site(folder / "site")
    site.folder.mkdir()
    site.manage("migrate", "--verbosity", "0")
    site.manage("collectstatic", "--no-input", "--verbosity", "0")
    told = site.python(FILL.format(film=str(clip), poster=str(folder / "poster.jpg")))
    return site, json.loads(told)


@pytest.fixture
def house(filled: tuple[Site, dict], tmp_path: Path, playwright: Playwright) -> Iterator[House]:
    site, people = filled
    site.python("""
        from lessons.practice.models import Log
        from lessons.drills.models import Assignment
        Log.objects.all().delete()
        Assignment.objects.update(removed_at=None)
    """)
    house = House(site, people, tmp_path / "phone", playwright)
    house.on()
    yield house
    house.running.close()
    if house.context:
        house.context.close()


def count_through(page: Page, reps: int) -> None:
    """Tap the lower half of the screen as often as a set has repetitions, and once to go on."""
    for _ in range(reps + 1):
        page.mouse.click(195, 600)


def true_soon(page: Page, script: str) -> None:
    """Asked from here: a wait inside the page would need eval, which the site's policy forbids."""
    wait_until(lambda: page.evaluate(script), script)


def waiting(page: Page):
    return page.locator("[data-waiting]")


def test_logs_made_without_a_signal_go_out_once_after_all_that_can_happen(house: House):
    page = house.open()
    house.sign_in("Robin")
    house.kept(page)
    house.off()

    # Reloaded, the page works: the drills, their clip and its parts, the recap
    page.reload()
    expect(page.get_by_role("heading", level=1)).to_contain_text("2 drills")
    page.get_by_role("button", name="Start sway gate").click()
    expect(page.get_by_text("The pocket turns back.").first).to_be_visible()
    true_soon(page, "document.querySelector('dialog[open] video')?.currentTime > 0.2")
    part = page.evaluate(
        """async () => {
            const url = document.querySelector("dialog[open] video").src;
            const answer = await fetch(url, {headers: {Range: "bytes=0-1"}});
            return [answer.status, answer.headers.get("Content-Range"), (await answer.blob()).size];
        }"""
    )
    assert part[0] == 206
    assert part[1].startswith("bytes 0-1/")
    assert part[2] == 2
    count_through(page, 3)
    page.get_by_role("radio", name="4").check()
    page.get_by_role("textbox", name="A note for your coach").fill("Windy, but good.")
    page.locator("dialog[open]").get_by_role("button", name="Keep").click()
    expect(page.get_by_text("Done today, waits for a signal")).to_be_visible()
    expect(waiting(page)).to_contain_text("1 log waits on this phone")

    # The recap takes a tap as well
    page.goto(f"{house.site.url}/lessons/{house.people['Robin']['lesson']}/read/")
    expect(page.get_by_role("heading", level=1)).to_have_text("Turn around the trail hip")
    expect(page.locator("#practice-until .ruler")).to_be_visible()
    picture = "document.querySelector('.todays-picture img')"
    true_soon(page, f"{picture}.complete && {picture}.naturalWidth > 0")
    page.get_by_role("button", name="Done today: feet together").click()
    expect(page.get_by_text("Done today, waits for a signal").last).to_be_visible()
    expect(waiting(page)).to_contain_text("2 logs wait on this phone")

    # The browser is closed and opened: they are still there
    house.close_browser()
    page = house.open()
    assert house.context
    house.context.set_offline(True)
    house.today(page)
    expect(waiting(page)).to_contain_text("2 logs wait on this phone")
    expect(page.get_by_role("heading", level=1)).to_have_text("Done for today")

    # A signal: they go out by themselves, each once
    house.on()
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(waiting(page)).to_be_empty(timeout=20000)
    page.reload()
    expect(page.get_by_role("heading", level=1)).to_have_text("Done for today")
    page.reload()
    today = page.evaluate("new Date().toISOString().slice(0, 10)")
    assert house.logs() == [
        ["sway gate", "Robin", today, 100, 4, "Windy, but good."],
        ["feet together", "Robin", today, 100, None, ""],
    ]


def test_a_refused_log_is_shown_until_the_person_lets_it_go(house: House):
    page = house.open()
    house.sign_in("Robin")
    house.kept(page)
    house.off()
    page.get_by_role("button", name="Done: sway gate").click()
    expect(waiting(page)).to_contain_text("1 log waits")
    house.site.python("""
        import datetime
        from django.utils import timezone
        from lessons.drills.models import Assignment
        gone = timezone.now() - datetime.timedelta(days=3)
        Assignment.objects.filter(name="sway gate").update(removed_at=gone)
    """)
    house.on()
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(waiting(page)).to_contain_text("sway gate on", timeout=20000)
    expect(waiting(page)).to_contain_text("was not taken. Your coach took this drill off your list")
    page.reload()
    page.get_by_role("button", name="Try again").click()
    expect(waiting(page)).to_contain_text("was not taken", timeout=20000)
    assert house.logs() == []
    page.get_by_role("button", name="Let it go").click()
    expect(waiting(page)).to_be_empty()


def test_another_persons_sign_in_takes_the_pages_but_not_the_logs(house: House):
    page = house.open()
    house.sign_in("Robin")
    house.kept(page)
    house.off()
    page.get_by_role("button", name="Done: sway gate").click()
    expect(waiting(page)).to_contain_text("1 log waits")

    house.sign_in("Sam")
    house.on()
    page.goto(f"{house.site.url}/accounts/profile/")
    true_soon(page, "caches.has('carryover-private').then((has) => !has)")
    house.kept(page)
    assert waiting(page).inner_text() == ""
    expect(page.get_by_text("waits for a signal")).to_have_count(0)
    lesson = house.people["Robin"]["lesson"]
    house.off()
    page.goto(f"{house.site.url}/lessons/{lesson}/read/")
    expect(page.get_by_role("heading", level=1)).to_have_text("No signal")
    assert house.logs() == []

    # Robin's own sign-in sends it
    house.sign_in("Robin")
    house.on()
    house.today(page)
    row = page.get_by_role("listitem").filter(has_text="sway gate")
    expect(row.get_by_text("Done today", exact=True)).to_be_visible(timeout=20000)
    assert [log[:2] for log in house.logs()] == [["sway gate", "Robin"]]


def test_a_sign_out_takes_the_pages(house: House):
    page = house.open()
    house.sign_in("Robin")
    house.kept(page)
    assert house.context
    house.context.clear_cookies()
    page.goto(f"{house.site.url}/today/")
    expect(page).to_have_url(f"{house.site.url}/accounts/login/?next=/today/")
    true_soon(page, "caches.has('carryover-private').then((has) => !has)")
    house.off()
    house.today(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("No signal")
