"""Today's page and a practice from the first turn to the last, in Chromium on a phone."""

from __future__ import annotations

import datetime

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, Response, expect
from pytest_django.live_server_helper import LiveServer

from lessons.drills.models import Assignment
from lessons.practice.models import Log
from lessons.students.models import Student
from tests import factories
from tests.browser.conftest import sign_in
from tests.servers import wait_until

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"width": 390, "height": 844}
WEIGHED = {"document", "stylesheet", "script"}
BUDGET_BYTES = 100_000  # DESIGN: HTML, CSS and JS of a student's page, before pictures


@pytest.fixture
def drills(student: Student) -> list[Assignment]:
    """Two drills of a week ago: 2 x 2 and a minute, both asked every day."""
    day = timezone.localdate() - datetime.timedelta(days=7)
    then = timezone.now() - datetime.timedelta(days=7)
    lesson = factories.LessonFactory(student=student, date=day, posted_at=then)
    factories.RecapFactory(lesson=lesson)
    made = [
        factories.AssignmentFactory(
            lesson=lesson, name="sway gate", sets=2, reps=2, days_a_week=7, feel="Turn, not slide."
        ),
        factories.AssignmentFactory(
            lesson=lesson, name="feet together", sets=None, reps=None, minutes=1, days_a_week=7
        ),
    ]
    Assignment.objects.update(created_at=then)
    return made


@pytest.fixture
def phone(page: Page, live_server: LiveServer, drills: list[Assignment]) -> Page:
    client = Client()
    client.force_login(drills[0].lesson.student.user)
    sign_in(page.context, live_server.url, client)
    page.set_viewport_size(PHONE)
    page.goto(live_server.url + reverse("practice:today"))
    expect(page.get_by_role("button", name="Start practice")).to_be_visible()
    return page


def target(page: Page):
    return page.locator("dialog[open] [data-count]")


def keep(page: Page) -> None:
    page.locator("dialog[open]").get_by_role("button", name="Keep").click()


def one_by_one(page: Page, first: str) -> None:
    page.get_by_role("button", name=f"Start {first}").click()


def kept_logs(count: int) -> list[Log]:
    wait_until(lambda: Log.objects.count() == count, f"{count} logs")
    return list(Log.objects.order_by("pk"))


def test_the_lower_half_of_the_screen_counts(phone: Page):
    one_by_one(phone, "sway gate")
    box = target(phone).bounding_box()
    assert box is not None
    assert box["width"] > 0.9 * PHONE["width"]
    assert box["height"] > 0.44 * PHONE["height"]
    assert box["y"] + box["height"] > 0.9 * PHONE["height"]
    expect(phone.get_by_text("Turn, not slide.")).to_be_visible()
    target(phone).click()
    expect(target(phone)).to_contain_text("1")
    phone.get_by_role("button", name="Take one off").click()
    expect(target(phone)).to_contain_text("0")


def test_drills_take_turns_and_each_is_kept_when_its_last_turn_is_done(phone: Page):
    phone.get_by_role("button", name="Start practice").click()
    order = []
    for _ in range(3):
        name = phone.locator("dialog[open]").get_attribute("data-name")
        order.append(name)
        if name == "sway gate":
            for _ in range(3):
                target(phone).click()
        else:
            phone.get_by_role("button", name="Not today").click()
        if phone.locator("dialog[open] [data-said]:visible").count():
            keep(phone)
            break
    log = kept_logs(1)[0]
    assert (log.assignment.name, log.percent, log.is_as_set) == ("sway gate", 100, True)
    assert order[:2] != ["sway gate", "sway gate"]


def test_less_is_kept_as_less_and_said_kindly(phone: Page):
    one_by_one(phone, "sway gate")
    for _ in range(4):
        target(phone).click()
    phone.get_by_role("button", name="That's it").click()
    expect(phone.get_by_text("1 x 3. Every one counts.")).to_be_visible()
    phone.get_by_role("radio", name="5").check()
    phone.locator("dialog[open] textarea").fill("Slowly.")
    keep(phone)
    log = kept_logs(1)[0]
    assert (log.sets, log.reps, log.percent, log.felt) == (1, 3, 75, 5)
    assert log.note == "Slowly."


def test_one_undone_elsewhere_is_not_shown_as_done(phone: Page):
    phone.get_by_role("button", name="Done: sway gate").click()
    kept_logs(1)[0].undo()
    row = phone.get_by_role("listitem").filter(has_text="sway gate")
    expect(row.get_by_text("Done today", exact=True)).to_be_visible()
    phone.reload()
    expect(phone.get_by_role("button", name="Start practice")).to_be_visible()
    phone.wait_for_timeout(300)
    expect(row.get_by_text("Done today", exact=True)).to_be_hidden()


def test_more_is_welcome(phone: Page):
    one_by_one(phone, "sway gate")
    for _ in range(5):
        target(phone).click()
    phone.get_by_role("button", name="One more").click()
    phone.get_by_role("button", name="One more").click()
    expect(target(phone)).to_contain_text("more than set")
    target(phone).click()
    expect(phone.get_by_text("3 x 2, more than was set.")).to_be_visible()
    keep(phone)
    assert kept_logs(1)[0].percent == 150


def test_a_drill_left_for_another_day_leaves_no_log(phone: Page):
    one_by_one(phone, "sway gate")
    phone.get_by_role("button", name="Not today").click()
    expect(phone.locator("dialog[open]")).to_have_count(0)
    expect(phone.get_by_role("heading", level=1)).to_contain_text("2 drills")
    assert not Log.objects.exists()


def test_a_timer_runs_by_the_time_of_day_and_ends_with_the_drill(phone: Page):
    phone.clock.install()
    one_by_one(phone, "feet together")
    expect(target(phone)).to_contain_text("1:00")
    target(phone).click()
    phone.clock.run_for(20_000)
    expect(target(phone)).to_contain_text("0:40")
    target(phone).click()
    phone.clock.run_for(5_000)
    expect(target(phone)).to_contain_text("0:40")
    target(phone).click()
    # The phone slept: the timer is right when it wakes
    phone.clock.fast_forward(41_000)
    expect(target(phone)).to_contain_text("Done. Tap to go on")
    target(phone).click()
    expect(phone.get_by_text("Done as set.")).to_be_visible()
    keep(phone)
    assert kept_logs(1)[0].is_as_set


def test_a_practice_that_was_broken_off_goes_on_where_it_was(phone: Page):
    phone.get_by_role("button", name="Start practice").click()
    name = phone.locator("dialog[open]").get_attribute("data-name")
    target(phone).click()
    phone.locator("dialog[open]").press("Escape")
    phone.reload()
    phone.get_by_role("button", name="Go on with practice").click()
    assert phone.locator("dialog[open]").get_attribute("data-name") == name
    if name == "sway gate":
        expect(target(phone)).to_contain_text("1")


def test_the_metronome_counts_back_and_down_as_it_is_set(phone: Page):
    one_by_one(phone, "sway gate")
    phone.get_by_role("button", name="Tempo").click()
    phone.get_by_label("Back").fill("4")
    phone.get_by_label("Down").fill("2")
    phone.get_by_role("button", name="Play").click()
    expect(phone.get_by_role("button", name="Stop")).to_be_visible()
    beats = phone.evaluate(
        """async () => (await import("/static/practice/tempo.js"))
            .beats({back: 3, down: 1, count_s: 0.3, rest_s: 6})"""
    )
    # 27 frames back and 9 down at 30 a second (common practice): 0.9 s and 0.3 s
    assert [round(beat["at"], 3) for beat in beats] == [0, 0.3, 0.6, 0.9, 1.2]
    assert phone.evaluate("JSON.parse(localStorage.getItem('carryover-tempo')).back") == 4


def test_a_page_kept_since_another_day_shows_the_plan_of_this_day(phone: Page):
    tomorrow = timezone.now() + datetime.timedelta(days=1)
    form = phone.locator("[data-drill]").first.locator("[name=client_id]")
    before = form.input_value()
    phone.clock.set_fixed_time(tomorrow)
    phone.evaluate(
        """() => { const page = document.querySelector("practice-today"); page.remove();
            document.querySelector("main").append(page); }"""
    )
    expect(phone.locator("[data-date]")).to_have_text(f"{tomorrow:%A} {tomorrow.day} {tomorrow:%B}")
    expect(phone.get_by_role("heading", level=1)).to_contain_text("2 drills")
    assert phone.locator("[data-drill]").first.locator("[name=client_id]").input_value() != before


def test_rest_is_said_and_ended(phone: Page):
    phone.get_by_text("I am hurt, or resting").click()
    phone.get_by_label("I am resting").check()
    until = timezone.localdate() + datetime.timedelta(days=3)
    phone.get_by_label("Until and with").fill(until.isoformat())
    phone.get_by_role("button", name="Rest", exact=True).click()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("Resting until")
    phone.get_by_role("button", name="I am back").click()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("2 drills")


def test_targets_are_44_pixels_and_nothing_runs_over_the_side(phone: Page):
    one_by_one(phone, "sway gate")
    small = """() => [...document.querySelectorAll("main *")]
        .filter((e) => e.matches("button, summary, a, input:not([type=radio]), textarea"))
        .filter((e) => e.checkVisibility() && e.type !== "hidden" && e.type !== "checkbox")
        .filter((e) => e.getBoundingClientRect().height < 44)
        .map((e) => e.outerHTML.slice(0, 80))"""
    assert phone.evaluate(small) == []
    assert phone.evaluate("document.documentElement.scrollWidth") == PHONE["width"]


def test_the_page_weighs_less_than_its_budget(
    page: Page, live_server: LiveServer, drills: list[Assignment]
):
    """HTML, CSS and JS as they are, not compressed on the way; eight drills."""
    for number in range(6):
        factories.AssignmentFactory(lesson=drills[0].lesson, name=f"drill {number}")
    client = Client()
    client.force_login(drills[0].lesson.student.user)
    sign_in(page.context, live_server.url, client)
    weights: dict[str, int] = {}

    def weigh(response: Response) -> None:
        if response.request.resource_type in WEIGHED and response.ok:
            weights[response.url] = len(response.body())

    page.on("response", weigh)
    page.goto(live_server.url + reverse("practice:today"), wait_until="networkidle")
    page.wait_for_timeout(500)
    assert len(weights) > 10
    assert sum(weights.values()) < BUDGET_BYTES, weights
    print("weight", sum(weights.values()), weights)  # noqa: T201
