"""Stored files that no row refers to are cleared; all others stay."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command

from tests.factories import ClipFactory

pytestmark = pytest.mark.django_db


def kept(name: str) -> str:
    return default_storage.save(name, ContentFile(b"1234567890"))


def test_it_removes_an_old_orphan_and_keeps_what_a_row_refers_to():
    ours, orphan = kept("clips/a/original"), kept("clips/b/original")
    ClipFactory(original=ours)
    call_command("sweep", "--files", "--older-than-hours", "0", stdout=StringIO())
    assert default_storage.exists(ours)
    assert not default_storage.exists(orphan)
    default_storage.delete(ours)


def test_it_keeps_a_young_orphan():
    young = kept("clips/c/original")
    call_command("sweep", "--files", stdout=StringIO())
    assert default_storage.exists(young)
    default_storage.delete(young)


def test_without_files_it_clears_nothing():
    orphan = kept("clips/d/original")
    out = StringIO()
    call_command("sweep", stdout=out)
    assert default_storage.exists(orphan)
    assert "Letter: 0 sent again" in out.getvalue()
    default_storage.delete(orphan)
