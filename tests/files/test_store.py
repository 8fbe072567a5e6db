"""Private files in a real S3-compatible store: `rclone serve s3`."""

from __future__ import annotations

import io
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.core.files.storage import default_storage
from django.http import HttpResponseBase
from django.test import RequestFactory

from portal.files.local import delete_on_commit, keep, local_copy, scratch_folder
from portal.files.models import Piece, Upload
from portal.files.serving import send_file
from portal.files.uploads import assemble, forget
from tests.files.conftest import some_bytes
from tests.servers import Store

pytestmark = [pytest.mark.servers, pytest.mark.django_db(transaction=True)]
CONTENT = some_bytes(300_000)


@pytest.fixture
def options(s3_store: Store, settings) -> dict[str, str]:
    """The store as the place of the site's private files; how PrivateS3Storage reaches it."""
    options = {
        "bucket_name": s3_store.bucket,
        "endpoint_url": s3_store.endpoint,
        "access_key": s3_store.key,
        "secret_key": s3_store.secret,
        "region_name": "us-east-1",
    }
    use(settings, options)
    return options


def use(settings, options: dict[str, str]) -> None:
    backend = "portal.files.storages.PrivateS3Storage"
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {"BACKEND": backend, "OPTIONS": options},
    }


@pytest.fixture
def bucket(s3_store: Store, options) -> Path:
    """Where the store's objects lie."""
    return s3_store.folder / s3_store.bucket


@pytest.fixture
def kept(options, tmp_path: Path) -> str:
    """The storage name of a file in the store."""
    path = tmp_path / "any"
    path.write_bytes(CONTENT)
    return keep(path, "clips/watch.mp4")


@pytest.fixture
def sent(kept: str) -> Callable[..., HttpResponseBase]:
    """Ask for the file as a browser would, with request headers."""

    def answer(
        download_name: str = "", content_type: str = "video/mp4", **headers: str
    ) -> HttpResponseBase:
        request = RequestFactory().get("/", headers=headers)
        file = Piece(file=kept).file
        return send_file(request, file, content_type=content_type, download_name=download_name)

    return answer


def test_it_keeps_a_file_under_a_name_that_nobody_can_guess(bucket, kept):
    prefix, secret, name = kept.split("/")
    assert (prefix, len(secret), name) == ("clips", 32, "watch.mp4")
    assert (bucket / kept).read_bytes() == CONTENT


def test_it_lends_a_local_copy(kept):
    with local_copy(Piece(file=kept).file) as path:
        assert path.read_bytes() == CONTENT
    assert not path.exists()


def test_a_file_that_is_gone_is_not_found(options, rf):
    missing = Piece(file="clips/none/watch.mp4").file
    with pytest.raises(FileNotFoundError), local_copy(missing):
        pass


def test_it_deletes(bucket, kept):
    delete_on_commit(kept)
    assert not (bucket / kept).exists()


def test_a_signed_link_shows_the_file_and_parts_of_it(sent, settings):
    settings.FILES_BY = "store"

    response = sent()

    assert response.status_code == 302
    assert response["Cache-Control"] == "private, no-store"
    with urllib.request.urlopen(response["Location"]) as whole:
        assert whole.read() == CONTENT
        assert whole.headers["Content-Type"] == "video/mp4"
    part = urllib.request.Request(response["Location"], headers={"Range": "bytes=0-1"})
    with urllib.request.urlopen(part) as answer:
        # This store says 200 with the part; the larger ones say 206
        assert answer.headers["Content-Range"] == f"bytes 0-1/{len(CONTENT)}"
        assert answer.read() == CONTENT[:2]


@pytest.mark.parametrize(
    "asked", [{"content_type": "application/json"}, {"Carryover-Keep": "1"}], ids=["json", "kept"]
)
def test_what_a_script_reads_comes_from_the_site(sent, settings, asked: dict[str, str]):
    settings.FILES_BY = "store"
    response = sent(**asked)
    assert response.status_code == 200
    assert b"".join(response) == CONTENT
    response.close()


def test_a_link_without_its_signature_shows_nothing(sent, settings):
    settings.FILES_BY = "store"
    bare = sent()["Location"].split("?")[0]
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(bare)
    refused.value.close()
    assert refused.value.code in {400, 401, 403}


def test_a_link_with_another_name_shows_nothing(sent, settings, kept):
    settings.FILES_BY = "store"
    other = sent()["Location"].replace("watch.mp4", "study.mp4")
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(other)
    refused.value.close()
    assert refused.value.code in {401, 403, 404}


def test_a_link_stops_working_within_an_hour(sent, settings):
    settings.FILES_BY = "store"
    assert "X-Amz-Expires=3600&" in sent()["Location"]


def test_a_link_names_the_address_that_phones_reach(options, settings, kept):
    use(settings, {**options, "public_url": "https://files.example.org"})
    link = default_storage.link(kept, seconds=60, content_type="video/mp4", disposition="")
    assert urlsplit(link).netloc == "files.example.org"
    assert default_storage.look(kept).size == len(CONTENT), "the site itself uses the inner one"


def test_the_site_can_send_a_part_of_a_stored_file(sent):
    response = sent(Range="bytes=1000-1999")
    assert response.status_code == 206
    assert response["Content-Range"] == f"bytes 1000-1999/{len(CONTENT)}"
    assert b"".join(response) == CONTENT[1000:2000]
    response.close()


def test_the_site_can_send_a_whole_stored_file(sent):
    response = sent()
    assert response.status_code == 200
    assert b"".join(response) == CONTENT
    response.close()


def test_an_upload_lies_in_the_store_until_it_is_let_go(bucket, send, parcels):
    send(CONTENT)
    upload = Upload.objects.get()
    assert len(list((bucket / upload.folder).iterdir())) == 3

    with scratch_folder() as folder:
        assert assemble(upload, folder).read_bytes() == CONTENT
    forget(upload)

    assert not list((bucket / upload.folder).glob("*"))


def test_a_file_given_by_django_itself_lands_in_the_store(options):
    name = default_storage.save("letters/note.txt", io.BytesIO(b"a note"))
    with default_storage.open(name) as file:
        assert file.read() == b"a note"
