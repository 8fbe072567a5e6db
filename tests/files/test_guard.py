"""The limits in front of Django: what reaches the application, and what does not."""

from __future__ import annotations

import asyncio
import shutil
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from portal.files.guard import FORM_BYTES, guarded


def pass_through(path: str, *parts: bytes, announced: int | None = None) -> tuple[bytes, int, str]:
    """Send a body in parts; returns what the application got, the status, and the words."""
    got: list[dict[str, Any]] = []
    said: list[dict[str, Any]] = []
    messages = [
        {"type": "http.request", "body": part, "more_body": number < len(parts)}
        for number, part in enumerate(parts, start=1)
    ]

    async def application(scope: Any, receive: Any, send: Any) -> None:
        while True:
            message = await receive()
            got.append(message)
            if message["type"] == "http.disconnect" or not message.get("more_body"):
                break
        await send({"type": "http.response.start", "status": 200})
        await send({"type": "http.response.body", "body": b""})

    async def receive() -> dict[str, Any]:
        return messages.pop(0) if messages else {"type": "http.disconnect"}

    async def send(message: dict[str, Any]) -> None:
        said.append(message)

    headers = [] if announced is None else [(b"content-length", str(announced).encode())]
    scope = {"type": "http", "path": path, "headers": headers}
    # In a thread of its own: tests in a browser leave an event loop running in this one
    with ThreadPoolExecutor(1) as pool:
        pool.submit(asyncio.run, guarded(application)(scope, receive, send)).result()
    assert not messages or got, "a refused body is read to its end"
    ended = b"<left>" if got and got[-1]["type"] == "http.disconnect" else b""
    body = b"".join(message.get("body", b"") for message in got) + ended
    return body, said[0]["status"], said[1]["body"].decode()


@pytest.fixture(autouse=True)
def limits(settings) -> None:
    settings.MAX_CLIP_BYTES = 50_000_000


def test_a_form_passes():
    assert pass_through("/lessons/1/recap/", b"ab", b"cd", announced=4) == (b"abcd", 200, "")


def test_a_piece_may_be_as_large_as_a_clip():
    assert pass_through("/uploads/x/", b"ab", announced=50_000_000)[:2] == (b"ab", 200)
    assert pass_through("/uploads/x/", b"ab", announced=50_000_001)[:2] == (b"", 413)


def test_a_form_may_not():
    body, status, words = pass_through("/lessons/1/recap/", b"ab", b"c", announced=FORM_BYTES + 1)
    assert (body, status, words) == (b"", 413, "That is more than this site takes at once.")


def test_a_body_of_unknown_length_ends_at_the_limit():
    part = b"x" * (FORM_BYTES // 2)
    body = pass_through("/lessons/1/recap/", part, part, b"one more")[0]
    assert body == part + part + b"<left>"


def test_nothing_more_is_taken_when_the_disk_is_nearly_full(settings):
    settings.KEEP_FREE_BYTES = shutil.disk_usage(settings.SCRATCH_DIR).total
    body, status, words = pass_through("/uploads/x/", b"ab", announced=2)
    assert (body, status) == (b"", 507)
    assert "disk is nearly full" in words
    assert pass_through("/board/", b"")[1] == 200, "pages without a body still answer"
