"""The browser's side of uploads, in Chromium: lost lines, reloads, damage, refusals."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from django.test import Client
from playwright.sync_api import Page, Route

from portal.files.local import scratch_folder
from portal.files.models import Piece, Upload
from portal.files.uploads import assemble
from tests.browser.conftest import sign_in
from tests.files.conftest import parcels, room_on_the_disk, some_bytes

__all__ = ["parcels", "room_on_the_disk"]
pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.urls("tests.browser.upload_page"),
]
PIECE = 200_000
CONTENT = some_bytes(500_000)
PIECES = "**/uploads/*-*/"


@pytest.fixture
def clip(tmp_path: Path) -> Path:
    path = tmp_path / "Schwünge 1.mov"
    path.write_bytes(CONTENT)
    return path


@pytest.fixture
def sender(page: Page, live_server, as_coach: Client, parcels) -> Page:
    """The coach's browser, at a page with a file field."""
    sign_in(page.context, live_server.url, as_coach)
    page.goto(f"{live_server.url}/send/?piece={PIECE}")
    page.wait_for_selector("[data-ready]", state="attached")
    return page


def wait_for(condition: Callable[[], bool], page: Page) -> None:
    """Until the condition holds; the browser goes on meanwhile."""
    until = time.monotonic() + 20
    while not condition():
        assert time.monotonic() < until, page.evaluate("window.told")
        page.wait_for_timeout(50)


def told(page: Page, name: str) -> list[dict]:
    return [detail for event, detail in page.evaluate("window.told") if event == name]


def wait_until_done(page: Page) -> dict:
    wait_for(lambda: bool(told(page, "done")), page)
    return told(page, "done")[0]


def arrived_whole(content: bytes = CONTENT) -> bool:
    with scratch_folder() as folder:
        arrived = assemble(Upload.objects.get(), folder).read_bytes()
    return hashlib.sha256(arrived).digest() == hashlib.sha256(content).digest()


def hold(page: Page, offset: str) -> list[Route]:
    """Keep the piece at an offset from going out; the list fills with what is held."""
    held: list[Route] = []

    def decide(route: Route) -> None:
        if route.request.headers.get("upload-offset") == offset:
            held.append(route)
        else:
            route.continue_()

    page.route(PIECES, decide)
    return held


def let_go(page: Page, held: list[Route]) -> None:
    """End what was held, long after its page has gone on, and hold nothing more."""
    for route in held:
        route.abort()
    page.unroute(PIECES)


def test_a_clip_is_sent_in_pieces_of_four_mebibytes(sender, clip, live_server):
    content = some_bytes(12_000_000)
    clip.write_bytes(content)
    sender.goto(f"{live_server.url}/send/")
    sender.wait_for_selector("[data-ready]", state="attached")
    sender.set_input_files("#file", clip)
    wait_until_done(sender)
    assert arrived_whole(content)
    assert list(Piece.objects.values_list("offset", flat=True)) == [0, 4 << 20, 8 << 20]


def test_a_file_is_sent_in_checked_pieces_with_progress(sender, clip, parcels):
    sums = []
    sender.on("request", lambda r: sums.append(r.headers.get("upload-checksum", "")))
    sender.set_input_files("#file", clip)

    assert wait_until_done(sender) == {"result": "/parcels/1/"}
    assert arrived_whole()
    assert len(parcels.finished) == 1
    assert Upload.objects.get().metadata == {
        "filename": "Schwünge 1.mov",
        "filetype": "video/quicktime",
        "club": "7-iron",
        "kind": "parcel",
    }
    assert list(Piece.objects.values_list("offset", flat=True)) == [0, PIECE, 2 * PIECE]
    assert sum(text.startswith("sha256 ") for text in sums) == 3
    sent = [detail["sent"] for detail in told(sender, "progress")]
    assert sent == sorted(sent)
    assert sent[-1] == len(CONTENT)
    assert sender.evaluate("window.goOn()") == 0, "nothing is left to go on with"


def test_a_lost_connection_is_waited_for(sender, clip, parcels):
    lost = []

    def lose_the_line(route: Route) -> None:
        """Let the first piece through; then the line is gone."""
        if route.request.headers.get("upload-offset", "0") == "0" or lost:
            route.continue_()
        else:
            lost.append(True)
            sender.context.set_offline(True)
            route.abort("internetdisconnected")

    sender.route(PIECES, lose_the_line)
    sender.set_input_files("#file", clip)
    wait_for(lambda: bool(told(sender, "waiting")), sender)
    assert told(sender, "waiting")[0]["reason"].startswith("No connection")

    sender.context.set_offline(False)

    wait_until_done(sender)
    assert arrived_whole()
    assert len(parcels.finished) == 1


def test_an_upload_goes_on_after_a_reload_without_the_file_being_chosen_again(
    sender, clip, parcels
):
    held = hold(sender, str(2 * PIECE))
    sender.set_input_files("#file", clip)
    wait_for(lambda: Upload.objects.filter(offset=2 * PIECE).exists(), sender)
    sender.wait_for_timeout(300)  # the browser keeps the file aside while pieces go out

    sender.reload()
    sender.wait_for_selector("[data-ready]", state="attached")
    let_go(sender, held)
    assert sender.evaluate("window.goOn()") == 1

    assert wait_until_done(sender) == {"result": "/parcels/1/"}
    assert arrived_whole()
    assert len(parcels.finished) == 1
    assert Piece.objects.count() == 3, "nothing was sent twice"


def test_two_windows_that_go_on_with_one_upload_end_it_once(sender, clip, parcels):
    held = hold(sender, str(PIECE))
    sender.set_input_files("#file", clip)
    wait_for(lambda: bool(held), sender)
    sender.wait_for_timeout(300)
    sender.reload()
    sender.wait_for_selector("[data-ready]", state="attached")
    let_go(sender, held)
    other = sender.context.new_page()
    other.goto(sender.url)
    other.wait_for_selector("[data-ready]", state="attached")

    assert sender.evaluate("window.goOn()") == other.evaluate("window.goOn()") == 1

    assert wait_until_done(sender) == wait_until_done(other) == {"result": "/parcels/1/"}
    assert len(parcels.finished) == 1
    assert Piece.objects.count() == 2, "the rest was sent once"
    assert arrived_whole()


def test_the_same_file_is_asked_for_where_the_browser_could_not_keep_it(sender, clip, tmp_path):
    held = hold(sender, str(PIECE))
    sender.set_input_files("#file", clip)
    wait_for(lambda: bool(held), sender)
    sender.evaluate("window.upload.pause()")
    sender.evaluate("window.upload.file = null")
    let_go(sender, held)
    sender.evaluate("window.upload.start()")
    wait_for(lambda: bool(told(sender, "missing")), sender)
    assert told(sender, "missing") == [{"name": "Schwünge 1.mov"}]

    assert sender.evaluate("window.upload.attach(new File(['x'], 'other.mov'))") is False
    assert sender.evaluate("window.upload.attach(document.querySelector('#file').files[0])") is True
    wait_until_done(sender)
    assert arrived_whole()


def test_a_lost_last_answer_makes_nothing_twice(sender, clip, parcels):
    """The last piece arrives, its answer does not."""

    def lose_the_answer(route: Route) -> None:
        answer = route.fetch()
        if "carryover-result" in answer.headers and route.request.method == "PATCH":
            route.abort("connectionreset")
        else:
            route.fulfill(response=answer)

    sender.route(PIECES, lose_the_answer)
    sender.set_input_files("#file", clip)

    assert wait_until_done(sender) == {"result": "/parcels/1/"}
    assert len(parcels.finished) == 1
    assert arrived_whole()


def test_a_piece_that_was_damaged_on_its_way_is_sent_again(sender, clip, parcels):
    damaged = []

    def damage_once(route: Route) -> None:
        body = route.request.post_data_buffer
        if body and not damaged:
            damaged.append(True)
            route.continue_(post_data=b"?" + body[1:])
        else:
            route.continue_()

    sender.route(PIECES, damage_once)
    sender.set_input_files("#file", clip)

    wait_until_done(sender)
    assert damaged
    assert arrived_whole()


def test_a_refusal_is_told_in_the_sites_words(sender, clip, parcels):
    parcels.refuse_at_begin = "The guardian's consent is missing."
    sender.set_input_files("#file", clip)
    wait_for(lambda: bool(told(sender, "refused")), sender)
    assert told(sender, "refused") == [
        {"reason": "The guardian's consent is missing.", "kept": False}
    ]
    assert sender.evaluate("window.goOn()") == 0


def test_someone_who_was_signed_out_goes_on_after_signing_in(
    sender, clip, parcels, live_server, as_coach
):
    out = []

    def sign_out_once(route: Route) -> None:
        if route.request.headers.get("upload-offset") == str(PIECE) and not out:
            out.append(True)
            sender.context.clear_cookies(name="carryover_session")
        route.continue_()

    sender.route(PIECES, sign_out_once)
    sender.set_input_files("#file", clip)
    wait_for(lambda: bool(told(sender, "refused")), sender)
    assert told(sender, "refused")[0]["kept"] is True

    sign_in(sender.context, live_server.url, as_coach)
    sender.evaluate("window.upload.start()")
    wait_until_done(sender)
    assert arrived_whole()


def test_an_upload_can_be_given_up(sender, clip):
    held = hold(sender, "0")
    sender.set_input_files("#file", clip)
    wait_for(lambda: bool(held), sender)
    sender.evaluate("window.upload.cancel()")
    wait_for(lambda: not Upload.objects.exists(), sender)
    let_go(sender, held)
    assert sender.evaluate("window.goOn()") == 0


def test_pauses_grow_and_never_pass_a_minute(sender):
    shortest, longest = (
        sender.evaluate(f"[1, 2, 3, 10].map((n) => window.pauseBefore(n, () => {chance}))")
        for chance in (0, 1)
    )
    assert shortest == [500, 1000, 2000, 30_000]
    assert longest == [1000, 2000, 4000, 60_000]
