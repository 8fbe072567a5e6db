"""Stops bodies that are too large before they reach the disk.

Under ASGI Django writes a request's whole body to scratch space before any view is asked, so the
limits have to stand in front of it.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from django.conf import settings

from portal.files.disk import DISK_FULL, has_room_for
from portal.files.tus import VERSION

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Application = Callable[[Message, Receive, Send], Awaitable[None]]
FORM_BYTES = 10_000_000
# So much of a refused body is read and dropped: most senders listen only when they have spoken
DRAIN_BYTES = 16_000_000
TOO_LARGE = "That is more than this site takes at once."


def guarded(application: Application) -> Application:
    """The application behind the limits: clips' pieces may be as large as a clip, forms not."""

    async def guard(scope: Message, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await application(scope, receive, send)
            return
        pieces = scope["path"].startswith("/uploads/")
        most = settings.MAX_CLIP_BYTES if pieces else FORM_BYTES
        announced = announced_length(scope)
        if announced > most:
            await refuse(receive, send, 413, TOO_LARGE)
        elif announced and not has_room_for(announced):
            await refuse(receive, send, 507, DISK_FULL)
        else:
            await application(scope, counted(receive, most), send)

    return guard


def announced_length(scope: Message) -> int:
    """What Content-Length says; 0 if it says nothing."""
    for name, value in scope["headers"]:
        if name.lower() == b"content-length" and value.isdigit():
            return int(value)
    return 0


def counted(receive: Receive, most: int) -> Receive:
    """The same body, ended as if the sender had left once it exceeds `most` bytes."""
    size = 0

    async def receive_counted() -> Message:
        nonlocal size
        message = await receive()
        size += len(message.get("body", b""))
        return {"type": "http.disconnect"} if size > most else message

    return receive_counted


async def refuse(receive: Receive, send: Send, status: int, sentence: str) -> None:
    """Drop the body and answer with a sentence."""
    dropped = 0
    while dropped < DRAIN_BYTES:
        message = await receive()
        dropped += len(message.get("body", b""))
        if message["type"] == "http.disconnect":
            return
        if not message.get("more_body"):
            break
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"cache-control", b"no-store"),
        (b"tus-resumable", VERSION.encode()),
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": sentence.encode()})
