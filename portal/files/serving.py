"""Private files on their way out, after a view has checked who may see them.

Three ways, by settings.FILES_BY: the site itself sends them (`site`), a reverse proxy does after
a word from the site (`proxy`), or the browser is sent to the store with a signed link (`store`);
what a script reads comes from the site even then, so that a store needs no set-up for it.
"""

from __future__ import annotations

import asyncio
import hashlib
import logging
from collections.abc import AsyncIterator, Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from functools import partial
from urllib.parse import quote

from django.conf import settings
from django.core.handlers.asgi import ASGIRequest
from django.db import close_old_connections
from django.db.models.fields.files import FieldFile
from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    HttpResponseNotAllowed,
    StreamingHttpResponse,
)
from django.utils.cache import get_conditional_response
from django.utils.http import content_disposition_header, http_date

from portal.files.ranges import ByteRange, UnsatisfiableError, wanted_range
from portal.files.storages import Readable

log = logging.getLogger(__name__)
CHUNK_BYTES = 256 * 1024
LINK_SECONDS = 3600  # as long as somebody may look at one clip without leaving the page
PROXY_PREFIX = "/protected/"
# A phone says so when it keeps a file for a place without a signal
KEEP_HEADER = "Carryover-Keep"
# Files never change under their name, but whoever was signed out must be asked for again
CACHE = "private, max-age=3600"
# Reading is quick; a viewer who stalls asks for nothing and so holds no reader
_readers = ThreadPoolExecutor(max_workers=8, thread_name_prefix="files")


def send_file(
    request: HttpRequest, field_file: FieldFile, *, content_type: str, download_name: str = ""
) -> HttpResponseBase:
    """The answer that sends a stored file: GET and HEAD, byte ranges, conditional requests.

    `content_type` is what the site made the file to be, never what an uploader said. With
    `download_name` the browser saves it under that name, which may be any text.
    Http404 if there is no such file.
    """
    if request.method not in {"GET", "HEAD"}:
        return HttpResponseNotAllowed(["GET", "HEAD"])
    if not field_file:
        raise Http404("no file was kept")
    if settings.FILES_BY == "store" and not is_for_a_script(request, content_type):
        response = by_store(field_file, content_type, download_name)
    elif settings.FILES_BY == "proxy":
        response = by_proxy(field_file, content_type)
    else:
        response = by_site(request, field_file, content_type)
    disposition = disposition_of(download_name)
    if disposition and response.status_code in {200, 206}:
        response["Content-Disposition"] = disposition
    response["X-Content-Type-Options"] = "nosniff"
    return response


def disposition_of(download_name: str) -> str:
    """Content-Disposition for a name a person gave (RFC 6266, RFC 8187); empty without one."""
    plain = "".join(letter for letter in download_name if letter.isprintable())
    plain = plain.replace("/", "_").replace("\\", "_").strip(". ")[:150]
    return content_disposition_header(True, plain) or "" if download_name else ""


def is_for_a_script(request: HttpRequest, content_type: str) -> bool:
    """Whether a script reads the bytes: of another origin it may only where a store says so (CORS).

    Only scripts read JSON; a picture or clip is mostly an element's, which shows it from anywhere.
    """
    return content_type == "application/json" or KEEP_HEADER in request.headers


def by_store(field_file: FieldFile, content_type: str, download_name: str) -> HttpResponse:
    """Send the browser to the store with a link that soon stops working."""
    link = field_file.storage.link(
        field_file.name,
        seconds=LINK_SECONDS,
        content_type=content_type,
        disposition=disposition_of(download_name),
    )
    response = HttpResponse(status=302)
    response["Location"] = link
    response["Cache-Control"] = "private, no-store"
    return response


def by_proxy(field_file: FieldFile, content_type: str) -> HttpResponse:
    """Let the reverse proxy send the file, ranges and all."""
    response = HttpResponse(content_type=content_type)
    response["X-Accel-Redirect"] = PROXY_PREFIX + quote(field_file.name)
    response["Cache-Control"] = CACHE
    return response


def by_site(request: HttpRequest, field_file: FieldFile, content_type: str) -> HttpResponseBase:
    """Send the file from here."""
    storage, name = field_file.storage, field_file.name
    try:
        look = storage.look(name)
    except FileNotFoundError as error:
        log.warning("stored file is gone: %s", name)
        raise Http404("the file is gone") from error
    # A name is random and never used twice, so name and size are a strong validator
    etag = f'"{hashlib.sha256(f"{name} {look.size}".encode()).hexdigest()[:32]}"'
    modified = int(look.modified.timestamp())
    headers = {
        "Accept-Ranges": "bytes",
        "Cache-Control": CACHE,
        "ETag": etag,
        "Last-Modified": http_date(modified),
    }
    plain = HttpResponse(content_type=content_type, headers=headers)
    conditional = get_conditional_response(request, etag, modified, plain)
    if conditional is not plain:
        return conditional
    plain["Content-Length"] = str(look.size)
    if request.method == "HEAD":
        return plain
    asked = request.headers.get("Range") if may_use_range(request, headers) else None
    try:
        part = wanted_range(asked, look.size)
    except UnsatisfiableError:
        response = HttpResponse(status=416, headers={"Accept-Ranges": "bytes"})
        response["Content-Range"] = f"bytes */{look.size}"
        return response
    sent = part or ByteRange(0, look.size)
    # Opened with the first byte asked for: an answer that is thrown away leaves nothing open
    opened = partial(storage.open_at, name, sent.start, sent.stop)
    if isinstance(request, ASGIRequest):
        # A viewer may stay for an hour: the database has better use for a connection
        close_old_connections()
        flow = flow_async(opened, sent.size)
    else:
        flow = flow_sync(opened, sent.size)
    response = StreamingHttpResponse(flow, content_type=content_type, headers=headers)
    response["Content-Length"] = str(sent.size)
    if part is not None:
        response.status_code = 206
        response["Content-Range"] = part.content_range(look.size)
    return response


def may_use_range(request: HttpRequest, headers: dict[str, str]) -> bool:
    """If-Range (RFC 9110, section 13.1.5): a part only if the file is still the same."""
    condition = request.headers.get("If-Range")
    return condition is None or condition.strip() in {headers["ETag"], headers["Last-Modified"]}


def flow_sync(opened: Callable[[], Readable], size: int) -> Iterator[bytes]:
    """`size` bytes of a source, under WSGI."""
    with closing(opened()) as source:
        while size > 0 and (chunk := source.read(min(CHUNK_BYTES, size))):
            size -= len(chunk)
            yield chunk


async def flow_async(opened: Callable[[], Readable], size: int) -> AsyncIterator[bytes]:
    """`size` bytes of a source, under ASGI: a reader's thread is held only while it reads."""
    loop = asyncio.get_running_loop()
    source = await loop.run_in_executor(_readers, opened)
    reading: asyncio.Future[bytes] | None = None
    try:
        while size > 0:
            reading = loop.run_in_executor(_readers, source.read, min(CHUNK_BYTES, size))
            chunk = await asyncio.shield(reading)
            if not chunk:
                return
            size -= len(chunk)
            yield chunk
    finally:
        if reading is not None and not reading.done():
            # The viewer left while a thread reads: the source is closed when it is through
            reading.add_done_callback(lambda done: (done.exception(), source.close()))
        else:
            source.close()
