"""A coach sends clips from the lesson's desk, in Chromium."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Page, Route, expect
from pytest_django.live_server_helper import LiveServer

from lessons.clips import tasks
from lessons.clips.models import Clip
from lessons.students.models import Student
from lessons.visits.models import Lesson
from tests import factories
from tests.browser.conftest import sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def desk(
    browser: Browser,
    live_server: LiveServer,
    as_coach: Client,
    lesson: Lesson,
    no_worker: list[int],
) -> Iterator[Page]:
    with browser.new_context(viewport={"width": 1440, "height": 900}) as context:
        sign_in(context, live_server.url, as_coach)
        page = context.new_page()
        page.goto(live_server.url + reverse("visits:desk", args=[lesson.pk]))
        yield page


def choose(page: Page, part: str, *files: Path) -> None:
    with page.expect_file_chooser() as chooser:
        page.click(f"#add-{part}")
    chooser.value.set_files(list(files))


@pytest.fixture
def two_files(swing_file: Path, tmp_path: Path) -> tuple[Path, Path]:
    files = tmp_path / "IMG_0001.mp4", tmp_path / "IMG_0002.mp4"
    for path in files:
        path.write_bytes(swing_file.read_bytes())
    return files


def test_several_clips_at_once_each_with_part_view_and_club(
    desk: Page, two_files: tuple[Path, Path]
):
    choose(desk, "middle", *two_files)
    rows = desk.locator(".chosen-row")
    expect(rows).to_have_count(2)
    rows.nth(0).locator("[name=club]").fill("7-iron")
    rows.nth(1).locator("[name=club]").click()  # what is said of one holds for those below
    rows.nth(1).locator("[name=view]").select_option("down-the-line")
    desk.get_by_role("button", name="Send 2 clips").click()
    expect(desk.locator("[data-part=middle] .shelf-clip")).to_have_count(2)
    clips = list(Clip.objects.order_by("file_name"))
    assert [(c.file_name, c.part, c.view, c.club) for c in clips] == [
        ("IMG_0001.mp4", "middle", "face-on", "7-iron"),
        ("IMG_0002.mp4", "middle", "down-the-line", "7-iron"),
    ]
    tasks.prepare(clips[0].pk)
    expect(desk.locator(f"#clip-{clips[0].pk} img")).to_be_visible()  # by itself
    tasks.prepare(clips[1].pk)
    expect(desk.locator("clip-player")).to_be_visible()  # the empty stage opens, too


def test_what_was_begun_goes_on_after_a_reload(desk: Page, two_files: tuple[Path, Path]):
    def broken(route: Route) -> None:
        if route.request.method == "PATCH":
            route.abort()
        else:
            route.continue_()

    desk.route("**/uploads/**", broken)
    choose(desk, "start", *two_files)
    desk.get_by_role("button", name="Send 2 clips").click()
    expect(desk.locator(".transfer").first).to_contain_text("Sending goes on by itself")
    desk.unroute("**/uploads/**")
    desk.reload()
    expect(desk.locator("[data-part=start] .shelf-clip")).to_have_count(2)
    expect(desk.locator(".transfer")).to_have_count(0)
    assert Clip.objects.count() == 2


def test_a_photo_is_left_out_with_the_reason(
    desk: Page, two_files: tuple[Path, Path], tmp_path: Path
):
    photo = tmp_path / "IMG_0003.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0")
    choose(desk, "end", photo, two_files[0])
    expect(desk.locator(".chosen-row")).to_have_count(1)
    desk.get_by_role("button", name="Don't send").click()
    expect(desk.locator(".transfer")).to_contain_text("This is not a video")
    assert not Clip.objects.exists()


def test_a_refusal_of_the_site_is_shown_with_what_to_do(
    desk: Page, lesson: Lesson, two_files: tuple[Path, Path]
):
    choose(desk, "end", two_files[0])
    # meanwhile it has turned out that the student is under 18
    born = factories.JuniorFactory.build(coach=lesson.student.coach, user=None).born
    Student.objects.update(born=born)
    desk.get_by_role("button", name="Send the clip").click()
    expect(desk.locator(".transfer")).to_contain_text("no guardian's consent is on record")
    assert not Clip.objects.exists()


def test_a_clip_is_removed_and_brought_back(desk: Page, lesson: Lesson, live_server: LiveServer):
    clip = factories.ClipFactory(lesson=lesson, state=Clip.State.REJECTED, reason="No video.")
    desk.goto(live_server.url + reverse("clips:clip", args=[clip.pk]))
    desk.get_by_role("button", name="Remove this clip").click()
    expect(desk.locator(f"#clip-{clip.pk}")).to_have_count(0)
    desk.get_by_role("button", name="Undo").click()
    expect(desk.locator(f"#clip-{clip.pk}")).to_be_visible()
