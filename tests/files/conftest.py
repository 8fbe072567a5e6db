"""A kind of upload for these tests, and a real tus client that is signed in."""

from __future__ import annotations

import io
import random
from collections.abc import Callable, Iterator

import pytest
from django.contrib.auth.models import AbstractBaseUser
from django.test import Client
from tusclient.client import TusClient

from portal.files import kinds
from portal.files.models import Upload


class Parcels:
    """What the tests' own kind of upload was asked and given."""

    def __init__(self) -> None:
        self.finished: list[Upload] = []
        self.refuse_at_begin = ""
        self.refuse_at_finish = ""

    def check(self, user: AbstractBaseUser, metadata: dict[str, str], length: int) -> None:
        if self.refuse_at_begin:
            raise kinds.Refused(self.refuse_at_begin)

    def finish(self, upload: Upload) -> str:
        if self.refuse_at_finish:
            raise kinds.Refused(self.refuse_at_finish)
        self.finished.append(upload)
        return f"/parcels/{len(self.finished)}/"


@pytest.fixture(autouse=True)
def room_on_the_disk(settings) -> None:
    """Tests run on whatever disk there is; those about a full one set the reserve themselves."""
    settings.KEEP_FREE_BYTES = 0


@pytest.fixture
def parcels() -> Iterator[Parcels]:
    """The tests' own kind of upload, called 'parcel'."""
    ours = Parcels()
    kinds.register("parcel", check=ours.check, finish=ours.finish)
    yield ours
    kinds._kinds.pop("parcel")


def some_bytes(size: int, seed: int = 1) -> bytes:
    return random.Random(seed).randbytes(size)


def cookies_of(browser: Client) -> dict[str, str]:
    """The headers with which a program acts as the person signed in to the test browser."""
    token = browser.cookies.get("carryover_csrf")
    secret = token.value if token else "c" * 32
    session = browser.cookies["carryover_session"].value
    return {
        "Cookie": f"carryover_session={session}; carryover_csrf={secret}",
        "X-CSRFToken": secret,
    }


@pytest.fixture
def tus_client(live_server, as_coach: Client) -> TusClient:
    """tuspy, signed in as the coach at a running server."""
    return TusClient(f"{live_server.url}/uploads/", headers=cookies_of(as_coach))


@pytest.fixture
def send(tus_client: TusClient) -> Callable[..., str]:
    """Send bytes with tuspy as a parcel; returns the upload's address."""

    def sent(content: bytes, chunk_size: int = 100_000, **options: object) -> str:
        uploader = tus_client.uploader(
            file_stream=io.BytesIO(content),
            chunk_size=chunk_size,
            metadata={"kind": "parcel", "filename": "swing.mov"},
            **options,
        )
        uploader.upload()
        return uploader.url

    return sent
