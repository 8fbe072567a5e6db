"""Every page that the demo's people can open: rules, reflow and keyboard, on phone and laptop.

A new page fails `test_every_page_is_known_here` until its line in the table says who looks at it.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.test import Client
from django.urls import get_resolver, reverse
from playwright.sync_api import Page
from pytest_django.live_server_helper import LiveServer

from lessons.clips import tasks
from lessons.clips.models import Clip, SwingSearch
from lessons.drills.models import Drill
from lessons.practice.calendar import open_calendar
from lessons.questions.about import Subject
from lessons.questions.service import ask
from lessons.recaps.models import Recap
from lessons.students.models import Guardian, Student
from portal.accounts.invitations import invite
from portal.accounts.links import sign_in_url
from portal.accounts.models import Invitation, User
from portal.notices.unsubscribing import off_url
from portal.operations.demo.people import make_people
from tests import factories
from tests.browser.conftest import sign_in
from tests.browser.every_page import (
    COLOUR_RULES,
    LAPTOP,
    NARROW,
    PHONE,
    axe_troubles,
    keyboard_troubles,
    wide_troubles,
)
from tests.conftest import signed_in
from tests.test_visibility import ADDRESSES, BY_SECRET, ELSEWHERE, path_of, patterns

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# Who looks at each page. What is open by tests/test_visibility.py and stands not here shows no
# page of its own: a part of one, a file, the target of a form, a way on.
NOBODY, COACH, GUARDIAN = {"nobody"}, {"coach"}, {"guardian"}
FAMILY = {"student", "guardian"}
SIGNED_IN = COACH | FAMILY
EVERYBODY = SIGNED_IN | NOBODY
PAGES: dict[str, set[str]] = {
    "account_login": NOBODY,
    "password_sign_in": NOBODY,
    "account_inactive": EVERYBODY,
    "practice:no_signal": EVERYBODY,
    "account_email": SIGNED_IN,
    "account_logout": SIGNED_IN,
    "accounts:password": SIGNED_IN,
    "accounts:profile": SIGNED_IN,
    "clips:clip": SIGNED_IN,
    "drills:given": SIGNED_IN,
    "marks:still": SIGNED_IN,
    "mfa_add_webauthn": SIGNED_IN,
    "mfa_list_webauthn": SIGNED_IN,
    "notices:wishes": SIGNED_IN,
    "practice:calendar": SIGNED_IN,
    "programmes:road": SIGNED_IN,
    "questions:list": SIGNED_IN,
    "questions:thread": SIGNED_IN,
    "recaps:read": SIGNED_IN,
    "board:board": COACH,
    "board:brief": COACH,
    "board:edit_words": COACH,
    "board:give": COACH,
    "board:group": COACH,
    "board:nudge": COACH,
    "board:words": COACH,
    "drills:add": COACH,
    "drills:drill": COACH,
    "drills:edit": COACH,
    "drills:list": COACH,
    "drills:renew": COACH,
    "marks:measures": COACH,
    "pairings:add": COACH,
    "pairings:pairing": COACH,
    "paths:begin": COACH,
    "paths:path": COACH,
    "programmes:add": COACH,
    "programmes:edit": COACH,
    "questions:begin": COACH,
    "recaps:recap": COACH,
    "students:add": COACH,
    "students:add_guardian": COACH,
    "students:edit": COACH,
    "students:edit_guardian": COACH,
    "students:list": COACH,
    "students:paper": COACH,
    "students:student": COACH,
    "visits:add": COACH,
    "visits:desk": COACH,
    "visits:edit": COACH,
    "practice:today": FAMILY,
    "questions:ask": FAMILY,
    "questions:check_in": FAMILY,
    "students:consent": GUARDIAN,
}
# Opened by a secret, or only at a moment: their paths are made in `doors`
DOORS = {"accounts:enter", "accounts:invitation", "notices:off", "account_confirm_login_code"}
# Looked at by itself, before anybody is there
FIRST = {"accounts:first"}
# They answer with a page only when something is wrong, or right after a step that is tested there
NOT_LOOKED_AT = {
    "account_confirm_email": "an address that is wrong or spent; tests/accounts",
    "account_email_verification_sent": "never shown: no address waits for a letter",
    "mfa_edit_webauthn": "takes a passkey; tests/browser/test_people.py has one",
    "mfa_remove_webauthn": "takes a passkey; tests/browser/test_people.py has one",
}


@dataclass(frozen=True)
class Looker:
    """One of the demo's people, and the key of one thing of each kind that they may see."""

    user: User | None
    keys: dict[str, int]

    @property
    def client(self) -> Client:
        return signed_in(self.user) if self.user else Client()


@pytest.fixture
def lookers(swing_file: Path, send_in: Callable[..., Clip]) -> dict[str, Looker]:
    """The demo's people with all they have but the films; two have a clip, cut and drawn on."""
    coach = make_people()
    tobias = Student.objects.get(name="Tobias Renn")
    merit = Guardian.objects.get(name="Merit Quill")
    film = swing_file.read_bytes()
    his, hers = (things_of(one, film, send_in) for one in (tobias, merit.student))
    family = {"guardian": merit.pk, "junior": merit.student_id}
    for user in (coach, tobias.user, merit.user):
        open_calendar(user)
    return {
        "nobody": Looker(None, {}),
        "coach": Looker(coach, his | family),
        "student": Looker(tobias.user, his | family),
        "guardian": Looker(merit.user, hers | family),
    }


def things_of(student: Student, film: bytes, send_in: Callable[..., Clip]) -> dict[str, int]:
    """What the demo has of a student, and what only a film or a further step brings."""
    coach, lesson = student.coach, student.lessons.posted().first()
    clip = send_in(lesson, film, club="7 iron")
    tasks.prepare(clip.pk)
    clip.refresh_from_db()
    for search in SwingSearch.objects.filter(clip=clip):
        tasks.search(search.pk)
    for cut in clip.cuts.all():
        tasks.cut(cut.pk)
    still = factories.StillFactory(clip=clip, position="P4", time_us=300_000)
    tasks.pull(still.pk)
    still.refresh_from_db()
    Recap.objects.get(lesson=lesson).stills.create(still=still, caption="Turned, not slid.")
    given = lesson.assignments.first()
    given.clip = clip
    given.save()
    asked = ask(Subject(lesson, given=given), student.user, "How slow is slow?", uuid.uuid4())
    group = factories.StudentGroupFactory(coach=coach)
    group.students.set([student])
    aim = factories.AimFactory(programme__student=student)
    swing = clip.swings.first() or factories.SwingFactory(clip=clip)
    pairing = factories.PairingFactory(lesson=lesson, sides=None)
    for _ in range(2):
        factories.PairingSideFactory(pairing=pairing, swing=swing)
    saved = factories.SavedPairingFactory(
        pairing=pairing, state="ready", file=still.picture.name, poster=still.picture.name
    )
    path = factories.PathFactory(swing=swing, still=still, ready=True, in_recap=True)
    rows = {
        "student": student,
        "lesson": lesson,
        "clip": clip,
        "swing": swing,
        "cut": clip.cuts.first(),
        "still": still,
        "given": given,
        "log": given.logs.first() or factories.LogFactory(assignment=given),
        "thread": asked.thread,
        "drill": Drill.objects.filter(coach=coach).first(),
        "words": factories.NudgeWordsFactory(coach=coach),
        "marks": factories.NamedSetFactory(coach=coach),
        "group": group,
        "programme": aim.programme,
        "aim": aim,
        "pairing": pairing,
        "saved": saved,
        "path": path,
    }
    return {kind: row.pk for kind, row in rows.items()}


def shows_a_page(looker: Looker, name: str) -> bool:
    """Whether the address answers this person with a whole page of HTML."""
    kind = ADDRESSES[name][0]
    if kind and kind not in looker.keys:
        return False
    answer = looker.client.get(path_of(name, looker.keys))
    is_html = answer.status_code == 200 and answer["Content-Type"].startswith("text/html")
    return is_html and b"<!DOCTYPE html>" in answer.content


def test_every_page_is_known_here(lookers: dict[str, Looker]):
    names = {name for name, _ in patterns(get_resolver())}
    found = {
        name: {role for role, looker in lookers.items() if shows_a_page(looker, name)}
        for name in ADDRESSES
    }
    assert {name: roles for name, roles in found.items() if roles} == PAGES
    elsewhere = DOORS | FIRST | set(NOT_LOOKED_AT)
    no_page = {name for name in BY_SECRET | set(ELSEWHERE) if name not in elsewhere}
    assert no_page <= {
        *("practice:feed", "account_request_login_code", "mfa_login_webauthn"),
        *("files:uploads", "files:upload", "notices:permission", "notices:forget"),
    }
    assert names == set(ADDRESSES) | elsewhere | no_page


def look_at(page: Page, url: str) -> list[str]:
    """All that is wrong with a page, in its light and its dark colours."""
    light(page)
    page.goto(url)
    page.wait_for_load_state("networkidle")
    troubles = []
    for size in (PHONE, LAPTOP):
        page.set_viewport_size(size)
        light(page)
        told = axe_troubles(page) + wide_troubles(page)
        dark(page)
        told += [f"dark: {trouble}" for trouble in axe_troubles(page, COLOUR_RULES)]
        told += [f"dark: {trouble}" for trouble in wide_troubles(page)]
        troubles += [f"{size['width']} px: {trouble}" for trouble in told]
    light(page)
    return troubles + by_keys_and_narrow(page)


def by_keys_and_narrow(page: Page) -> list[str]:
    """What is wrong by Tab, and then in 320 pixels."""
    troubles = keyboard_troubles(page)
    page.set_viewport_size(NARROW)
    return troubles + [f"320 px: {trouble}" for trouble in wide_troubles(page)]


def keyboard_in_the_dark(page: Page, url: str) -> list[str]:
    """What is wrong by Tab in the dark colours; loaded anew, so that Tab begins at the top."""
    dark(page)
    page.set_viewport_size(LAPTOP)
    page.goto(url)
    page.wait_for_load_state("networkidle")
    return [f"dark: {trouble}" for trouble in by_keys_and_narrow(page)]


def light(page: Page) -> None:
    page.emulate_media(color_scheme="light", reduced_motion="reduce")


def dark(page: Page) -> None:
    page.emulate_media(color_scheme="dark", reduced_motion="reduce")


@pytest.mark.parametrize("role", ["coach", "student", "guardian", "nobody"])
def test_it_can_be_used_by_everybody(
    page: Page, live_server: LiveServer, lookers: dict[str, Looker], role: str
):
    looker = lookers[role]
    if looker.user:
        sign_in(page.context, live_server.url, looker.client)
    troubles = []
    for name in sorted(name for name, roles in PAGES.items() if role in roles):
        told = look_at(page, live_server.url + path_of(name, looker.keys))
        troubles += [f"{name} {trouble}" for trouble in told]
    assert not troubles, "\n".join(["", *troubles])


def test_the_doors_can_be_used_by_everybody(page: Page, live_server: LiveServer, coach: User):
    address = invite(
        coach,
        "test:1",
        role=User.Role.STUDENT,
        name="Robin",
        email="robin@example.org",
        way=Invitation.Way.SCREEN,
    )
    made = (sign_in_url(coach), address, off_url(coach, "question"))
    paths = [one.removeprefix("http://testserver") for one in made]
    paths += ["/invitations/unknown/", "/enter/unknown/", "/notices/off/unknown/", "/nowhere/"]
    troubles = []
    for path in paths:
        url = live_server.url + path
        told = look_at(page, url) + keyboard_in_the_dark(page, url)
        troubles += [f"{path} {trouble}" for trouble in told]
    page.goto(live_server.url + reverse("account_login"))
    page.get_by_label("E-mail").fill(coach.email)
    page.get_by_role("button", name="Send").first.click()
    page.wait_for_url("**" + reverse("account_confirm_login_code") + "**")
    told = look_at(page, page.url) + keyboard_in_the_dark(page, page.url)
    troubles += [f"code {trouble}" for trouble in told]
    assert not troubles, "\n".join(["", *troubles])


def test_the_first_page_of_a_new_site_can_be_used_by_everybody(page: Page, live_server: LiveServer):
    url = live_server.url + reverse("accounts:first")
    troubles = look_at(page, url) + keyboard_in_the_dark(page, url)
    assert not troubles, "\n".join(["", *troubles])
