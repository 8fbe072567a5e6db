"""Files sent by the site itself, and the answers that let a proxy send them.

Source: RFC 9110, sections 13 (conditional requests), 14 (ranges); RFC 6266 and RFC 8187
(Content-Disposition).
"""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.exceptions import SuspiciousFileOperation
from django.core.files.storage import default_storage
from django.http import Http404, HttpResponseBase
from django.test import RequestFactory
from django.utils.http import http_date

from portal.files.local import keep
from portal.files.models import Piece
from portal.files.serving import send_file
from tests.files.conftest import some_bytes

pytestmark = pytest.mark.django_db
CONTENT = some_bytes(600_000)
MODIFIED = datetime.datetime(2026, 3, 1, 12, tzinfo=datetime.UTC)


@pytest.fixture
def name(tmp_path: Path) -> str:
    path = tmp_path / "any"
    path.write_bytes(CONTENT)
    stored = keep(path, "clips/watch.mp4")
    os.utime(default_storage.path(stored), (MODIFIED.timestamp(), MODIFIED.timestamp()))
    return stored


@pytest.fixture
def ask(name: str) -> Callable[..., HttpResponseBase]:
    def answer(method: str = "GET", download_name: str = "", **headers: str) -> HttpResponseBase:
        headers = {key.replace("_", "-"): value for key, value in headers.items()}
        request = RequestFactory().generic(method, "/", headers=headers)
        file = Piece(file=name).file
        return send_file(request, file, content_type="video/mp4", download_name=download_name)

    return answer


def body(response: HttpResponseBase) -> bytes:
    content = b"".join(response)
    response.close()
    return content


def test_it_sends_the_whole_file(ask):
    response = ask()
    assert response.status_code == 200
    assert response["Content-Type"] == "video/mp4"
    assert response["Content-Length"] == str(len(CONTENT))
    assert response["Accept-Ranges"] == "bytes"
    assert response["Last-Modified"] == http_date(MODIFIED.timestamp())
    assert response["ETag"].startswith('"')
    assert response["Cache-Control"] == "private, max-age=3600"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert "Content-Disposition" not in response
    assert body(response) == CONTENT


def test_it_sends_a_part(ask):
    response = ask(Range="bytes=100-399999")
    assert response.status_code == 206
    assert response["Content-Range"] == "bytes 100-399999/600000"
    assert response["Content-Length"] == "399900"
    assert body(response) == CONTENT[100:400_000]


def test_it_sends_the_two_bytes_that_safari_asks_first(ask):
    response = ask(Range="bytes=0-1")
    assert (response.status_code, response["Content-Length"]) == (206, "2")
    assert body(response) == CONTENT[:2]


def test_it_says_how_long_the_file_is_when_nothing_of_the_range_is_there(ask):
    response = ask(Range="bytes=600000-")
    assert response.status_code == 416
    assert response["Content-Range"] == "bytes */600000"
    assert body(response) == b""


def test_head_tells_the_same_without_the_file_and_knows_no_ranges(ask):
    whole, head = ask(), ask("HEAD", Range="bytes=0-1")
    assert head.status_code == 200
    for header in ("Content-Length", "ETag", "Last-Modified", "Accept-Ranges", "Content-Type"):
        assert head[header] == whole[header]
    assert body(head) == b""
    whole.close()


def test_it_refuses_other_methods(ask):
    response = ask("POST")
    assert (response.status_code, response["Allow"]) == (405, "GET, HEAD")


def test_a_file_that_the_browser_has_is_not_sent_again(ask):
    first = ask()
    first.close()
    for headers in (
        {"If_None_Match": first["ETag"]},
        {"If_None_Match": f'"other", W/{first["ETag"]}'},
        {"If_None_Match": "*"},
        {"If_Modified_Since": first["Last-Modified"]},
        {"If_None_Match": first["ETag"], "Range": "bytes=0-1"},
    ):
        again = ask(**headers)
        assert again.status_code == 304
        assert again["ETag"] == first["ETag"]
        assert body(again) == b""


def test_it_fails_a_condition_that_does_not_hold(ask):
    assert ask(If_Match='"other"').status_code == 412
    earlier = http_date(MODIFIED.timestamp() - 60)
    assert ask(If_Unmodified_Since=earlier).status_code == 412


def test_a_part_is_sent_only_of_the_same_file(ask):
    first = ask()
    first.close()
    for condition, status in (
        (first["ETag"], 206),
        (first["Last-Modified"], 206),
        ('"other"', 200),
        (f"W/{first['ETag']}", 200),  # If-Range compares strongly
        (http_date(MODIFIED.timestamp() + 60), 200),
        ("nonsense", 200),
    ):
        response = ask(Range="bytes=0-1", If_Range=condition)
        response.close()
        assert response.status_code == status, condition


def test_two_files_never_share_a_tag(ask, tmp_path, rf):
    path = tmp_path / "other"
    path.write_bytes(CONTENT)
    other = send_file(
        rf.get("/"), Piece(file=keep(path, "clips/watch.mp4")).file, content_type="video/mp4"
    )
    first = ask()
    assert other["ETag"] != first["ETag"]
    other.close()
    first.close()


@pytest.mark.parametrize(
    ("given", "header"),
    [
        ("swing.mp4", 'attachment; filename="swing.mp4"'),
        ('a "good" one.mp4', 'attachment; filename="a \\"good\\" one.mp4"'),
        ("Schwünge.mp4", "attachment; filename*=utf-8''Schw%C3%BCnge.mp4"),
        ("€ rates.mp4", "attachment; filename*=utf-8''%E2%82%AC%20rates.mp4"),  # RFC 8187, 3.2.2
        ("a\r\nSet-Cookie: b=c.mp4", 'attachment; filename="aSet-Cookie: b=c.mp4"'),
        ("../../etc/passwd", 'attachment; filename="_.._etc_passwd"'),
        ("\x00", "attachment"),
    ],
)
def test_a_name_for_saving_is_only_a_name(ask, given, header):
    response = ask(download_name=given)
    response.close()
    assert response["Content-Disposition"] == header


def test_a_file_that_is_gone_is_not_found(rf):
    with pytest.raises(Http404):
        send_file(rf.get("/"), Piece(file="clips/none/watch.mp4").file, content_type="video/mp4")


def test_a_row_without_a_file_is_not_found(rf):
    with pytest.raises(Http404):
        send_file(rf.get("/"), Piece().file, content_type="video/mp4")


@pytest.mark.parametrize("outside", ["../secret_key", "/etc/passwd", "clips/../../secret_key"])
def test_nothing_outside_the_folder_is_sent(rf, outside):
    with pytest.raises(SuspiciousFileOperation):
        send_file(rf.get("/"), Piece(file=outside).file, content_type="text/plain")


def test_a_proxy_is_told_which_file_to_send(ask, name, settings):
    settings.FILES_BY = "proxy"
    response = ask(download_name="swing.mp4", Range="bytes=0-1")
    assert response.status_code == 200
    assert response["X-Accel-Redirect"] == f"/protected/{name}"
    assert response["Content-Type"] == "video/mp4"
    assert response["Content-Disposition"] == 'attachment; filename="swing.mp4"'
    assert response["Cache-Control"] == "private, max-age=3600"
    assert body(response) == b""


def test_a_proxy_is_given_a_quoted_name(rf, settings):
    settings.FILES_BY = "proxy"
    response = send_file(rf.get("/"), Piece(file="a b/100%?x=ü.mp4").file, content_type="video/mp4")
    assert response["X-Accel-Redirect"] == "/protected/a%20b/100%25%3Fx%3D%C3%BC.mp4"
