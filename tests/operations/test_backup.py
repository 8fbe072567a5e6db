"""A backup holds every row and file; a new site takes it over whole."""

from __future__ import annotations

import json
import subprocess
import sys
import tarfile
from pathlib import Path

import pytest

from tests.running import ROOT, Site

FILL = """
from django.core.files.base import ContentFile
from tests import factories
student = factories.JuniorFactory(name="Zoë Ödegård")
clip = factories.ClipFactory(lesson=factories.LessonFactory(student=student))
clip.original.save("clips/0a/original", ContentFile(b"picture and sound" * 1000))
factories.FindingFactory(recap__lesson=clip.lesson)
factories.LogFactory(assignment__lesson=clip.lesson)
"""
LOOK = """
import hashlib, json
from django.apps import apps
from django.core.files.storage import default_storage
from lessons.clips.models import Clip
counts = {m._meta.label: m._base_manager.count() for m in apps.get_models()}
counts = {k: v for k, v in counts.items() if v and not k.startswith(("auth.", "contenttypes."))}
sums = [hashlib.sha256(c.original.read()).hexdigest() for c in Clip.objects.all()]
names = list(Clip.objects.values_list("lesson__student__name", flat=True))
print(json.dumps([counts, sums, names]))
"""


def refused(site: Site, *arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=site.variables,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    return done.stderr


@pytest.fixture(scope="module")
def full_site(tmp_path_factory: pytest.TempPathFactory) -> Site:
    site = Site(tmp_path_factory.mktemp("full"))
    site.manage("make_ready")
    site.python(FILL)
    return site


@pytest.fixture(scope="module")
def archive(full_site: Site, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("backup") / "carryover.tar"
    full_site.manage("backup", str(target))
    return target


def test_a_new_site_takes_over_every_row_and_file(full_site: Site, archive: Path, tmp_path: Path):
    new = Site(tmp_path / "new")
    new.manage("restore", str(archive))
    assert json.loads(new.python(LOOK)) == json.loads(full_site.python(LOOK))


@pytest.mark.servers
def test_a_backup_of_sqlite_and_a_folder_moves_to_postgresql_and_a_store(
    full_site: Site, archive: Path, tmp_path: Path, postgres_url: str, s3_store
):
    new = Site(tmp_path / "new", {"DATABASE_URL": postgres_url, **s3_store.environment})
    new.manage("restore", str(archive))
    assert json.loads(new.python(LOOK)) == json.loads(full_site.python(LOOK))


def test_the_archive_is_for_its_owner_only(archive: Path):
    assert archive.stat().st_mode & 0o077 == 0
    with tarfile.open(archive) as tar:
        assert tar.getnames()[:2] == ["about.json", "rows.jsonl"]


def test_it_does_not_overwrite_a_backup(full_site: Site, archive: Path):
    assert "is there already" in refused(full_site, "backup", str(archive))


def test_it_does_not_restore_over_people(full_site: Site, archive: Path):
    assert "has people in it already" in refused(full_site, "restore", str(archive))


def test_a_backup_of_another_version_is_refused_with_the_difference(tmp_path: Path, archive: Path):
    other = tmp_path / "other.tar"
    with tarfile.open(archive) as old, tarfile.open(other, "w") as new:
        about = json.loads(old.extractfile("about.json").read())
        about["migrations"].append("clips.0099_later")
        (tmp_path / "about.json").write_text(json.dumps(about))
        new.add(tmp_path / "about.json", "about.json")
    said = refused(Site(tmp_path / "new"), "restore", str(other))
    assert "another version" in said
    assert "clips.0099_later" in said


def test_a_file_that_is_no_backup_is_refused(tmp_path: Path):
    (tmp_path / "holiday.tar").write_text("not a tar file")
    said = refused(Site(tmp_path / "new"), "restore", str(tmp_path / "holiday.tar"))
    assert "is not a whole backup" in said
