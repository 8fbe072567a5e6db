"""A wrong setting stops the start with a sentence that says which, and why."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from portal.environment import SETTINGS, Environment

ROOT = Path(__file__).resolve().parent.parent


def start(folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """Load the settings in a fresh process with exactly this environment."""
    return subprocess.run(
        [sys.executable, "-c", "import portal.settings as s; print(s.DATABASES)"],
        cwd=ROOT,
        env={"PATH": os.environ["PATH"], "CARRYOVER_DATA": str(folder), **environment},
        capture_output=True,
        text=True,
        check=False,
    )


def test_with_nothing_set_it_starts_on_sqlite_in_the_data_folder(tmp_path: Path):
    done = start(tmp_path)
    assert done.returncode == 0, done.stderr
    assert "sqlite3" in done.stdout
    assert (tmp_path / "secret_key").stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    ("name", "value", "why"),
    [
        ("CARRYOVER_URL", "golf.example.org", "must be an address that starts with http://"),
        ("CARRYOVER_SECRET_KEY", "short", "must have 40 characters or more"),
        ("CARRYOVER_PUSH_KEY", "AAAA", "must be 32 bytes in 43 letters of base64url"),
        ("CARRYOVER_DEBUG", "yes", "must be 0 or 1"),
        ("CARRYOVER_TIME_ZONE", "Mars/Olympus", "must be a name like Europe/Dublin"),
        ("CARRYOVER_MAX_CLIP_MB", "0", "must be a whole number from 1 to 100000"),
        ("CARRYOVER_MAX_CLIP_MINUTES", "ten", "must be a whole number from 1 to 240"),
        ("CARRYOVER_LEASE_SECONDS", "-1", "must be a whole number from 2 to 600"),
        ("DATABASE_URL", "mysql://db/x", "must be an address that starts with postgres://"),
        ("CELERY_BROKER_URL", "amqp://broker", "must be an address that starts with redis://"),
        ("CARRYOVER_FILES_BY", "magic", "must be one of: site, proxy, store"),
        ("CARRYOVER_FILES_BY", "store", "needs S3_BUCKET"),
        ("EMAIL_URL", "https://mail", "must be an address that starts with smtp://"),
        ("CARRYOVER_DATA", "/proc/nowhere", "can't be made"),
    ],
)
def test_a_wrong_setting_stops_the_start(tmp_path: Path, name: str, value: str, why: str):
    done = start(tmp_path, **{name: value})
    assert done.returncode != 0
    last = done.stderr.strip().splitlines()[-1]
    assert f"{name} is " in last
    assert why in last


def test_a_wrong_secret_is_not_repeated(tmp_path: Path):
    done = start(tmp_path, CARRYOVER_SECRET_KEY="not-long-enough-but-secret")
    assert "not-long-enough" not in done.stderr.strip().splitlines()[-1]


def test_empty_is_the_same_as_not_set():
    assert Environment({"CARRYOVER_DEBUG": " "}).flag("CARRYOVER_DEBUG") is False


def test_a_flag_is_0_or_1_and_nothing_else():
    with pytest.raises(ImproperlyConfigured, match="must be 0 or 1"):
        Environment({"CARRYOVER_DEBUG": "true"}).flag("CARRYOVER_DEBUG")


def test_readme_lists_every_setting_and_its_default():
    readme = (ROOT / "README.md").read_text()
    for setting in SETTINGS.values():
        default = f"`{setting.default}`" if setting.default else "none"
        assert f"| `{setting.name}` | {default} | {setting.meaning} |" in readme
