"""What the phone asks for: manifest, worker, what to keep, whose it is."""

from __future__ import annotations

import uuid

import pytest
from django.contrib.staticfiles import finders
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from PIL import Image

from lessons.drills.models import Assignment
from lessons.practice import kit
from lessons.practice.icons import draw
from lessons.practice.who import HEADER, NOBODY, who_of
from lessons.recaps.models import Seen
from lessons.students.models import Student
from tests import factories


def stored(size: int) -> str:
    return default_storage.save(f"tests/{uuid.uuid4()}", ContentFile(b"x" * size))


@pytest.fixture
def filmed(given: Assignment) -> Assignment:
    """The drill has a clip: a poster of 1,000 bytes and a rendition of 5,000."""
    clip = factories.ClipFactory(
        lesson=None,
        coach=given.lesson.student.coach,
        ready=True,
        poster=stored(1000),
        watch=stored(5000),
    )
    given.clip = clip
    given.save()
    return given


def test_the_manifest_says_what_a_phone_needs_to_install_it(as_nobody: Client):
    """Members as in the W3C Web App Manifest, section 'Manifest members' (from memory)."""
    answer = as_nobody.get(reverse("practice:manifest"))
    assert answer["Content-Type"] == "application/manifest+json"
    told = answer.json()
    assert (told["start_url"], told["scope"], told["display"]) == ("/today/", "/", "standalone")
    for icon in told["icons"]:
        path = finders.find(icon["src"].removeprefix("/static/"))
        with Image.open(path) as drawn:
            assert "x".join(map(str, drawn.size)) == icon["sizes"]
    assert {icon["purpose"] for icon in told["icons"]} == {"any", "maskable"}


def test_the_maskable_icon_keeps_its_drawing_in_the_middle(as_nobody: Client):
    """W3C Web App Manifest: the safe zone is a circle of 40 % radius (from memory)."""
    path = finders.find("practice/icons/maskable-512.png")
    with Image.open(path) as drawn:
        paper = drawn.getpixel((0, 0))
        for x in range(0, 512, 4):
            for y in range(0, 512, 4):
                if (x - 256) ** 2 + (y - 256) ** 2 > (0.4 * 512) ** 2:
                    assert drawn.getpixel((x, y)) == paper


def test_the_worker_may_serve_the_whole_site_under_the_strict_policy(as_nobody: Client):
    answer = as_nobody.get("/worker.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Service-Worker-Allowed"] == "/"
    assert answer["Cache-Control"] == "no-cache"
    assert "script-src 'self'" in answer["Content-Security-Policy"]


def test_the_kit_names_pages_and_files_with_their_sizes(as_student: Client, filmed: Assignment):
    told = as_student.get(reverse("practice:kit")).json()
    lesson, clip = filmed.lesson, filmed.clip
    assert told["pages"] == [
        "/today/",
        f"/today/?student={lesson.student_id}",
        f"/lessons/{lesson.pk}/read/",
        f"/given/{filmed.pk}/",
    ]
    assert told["files"] == [
        {"url": f"/clips/{clip.pk}/poster/", "bytes": 1000},
        {"url": f"/clips/{clip.pk}/watch/", "bytes": 5000},
    ]
    assert (told["bytes"], told["budget"]) == (6000, 25_000_000)
    assert told["who"] == who_of(lesson.student.user)


def test_pictures_come_before_clips_and_all_stay_within_the_budget(
    as_student: Client, filmed: Assignment, monkeypatch: pytest.MonkeyPatch
):
    second = factories.ClipFactory(
        lesson=filmed.lesson, ready=True, poster=stored(900), watch=stored(10)
    )
    third = factories.ClipFactory(
        lesson=None,
        coach=filmed.lesson.student.coach,
        ready=True,
        poster=stored(800),
        watch=stored(200),
    )
    factories.AssignmentFactory(lesson=filmed.lesson, clip=third)
    monkeypatch.setattr(kit, "BUDGET_BYTES", 3000)
    told = as_student.get(reverse("practice:kit")).json()
    urls = [file["url"] for file in told["files"]]
    assert urls == [
        f"/clips/{filmed.clip_id}/poster/",
        f"/clips/{third.pk}/poster/",
        f"/clips/{second.pk}/poster/",
        f"/clips/{third.pk}/watch/",
    ]
    assert told["bytes"] == 2900


def test_long_clips_and_lost_files_are_not_kept(as_student: Client, filmed: Assignment):
    clip = filmed.clip
    clip.duration_us = 61_000_000
    default_storage.delete(clip.poster.name)
    clip.save()
    assert as_student.get(reverse("practice:kit")).json()["files"] == []


def test_keeping_a_page_ahead_is_not_reading_it(as_student: Client, given: Assignment):
    factories.RecapFactory(lesson=given.lesson)
    page = reverse("recaps:read", args=[given.lesson.pk])
    assert as_student.get(page, headers={"Purpose": "prefetch"}).status_code == 200
    assert not Seen.objects.exists()
    as_student.get(page)
    assert Seen.objects.count() == 1


def test_without_a_lesson_there_is_little_to_keep(as_student: Client):
    told = as_student.get(reverse("practice:kit")).json()
    assert (told["pages"], told["files"]) == (["/today/"], [])


def test_every_page_says_whose_it_is_and_nothing_of_them(
    as_student: Client, as_nobody: Client, student: Student, other_student: Student
):
    told = as_student.get("/today/")[HEADER]
    assert told == who_of(student.user) != who_of(other_student.user)
    assert str(student.user.pk) != told
    assert student.name not in told
    assert as_nobody.get("/accounts/login/")[HEADER] == NOBODY
    assert HEADER not in as_nobody.get("/worker.js")


def test_who_gives_the_token_a_form_needs(as_student: Client, student: Student):
    told = as_student.get(reverse("practice:who")).json()
    assert told["who"] == who_of(student.user)
    assert told["token"]


def test_what_is_kept_for_no_signal_says_nothing_of_anyone(as_student: Client, student: Student):
    page = as_student.get(reverse("practice:no_signal")).content.decode()
    assert student.name not in page
    assert student.user.get_short_name() not in page.split("</head>")[1]


@pytest.mark.parametrize("name", ["kit", "who"])
def test_a_coach_and_the_signed_out_are_refused(name: str, as_coach: Client, as_nobody: Client):
    url = reverse(f"practice:{name}")
    assert as_coach.get(url).status_code == 404
    assert as_nobody.get(url).status_code == 302
    assert as_coach.post(url).status_code == 405


def test_the_icons_are_what_their_program_draws():
    with Image.open(finders.find("practice/icons/icon-192.png")) as kept:
        assert kept.convert("RGBA").tobytes() == draw(192).tobytes()
