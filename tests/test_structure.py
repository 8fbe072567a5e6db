"""The law of imports, migrations and names, checked as tests too."""

from __future__ import annotations

import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

ROOT = Path(__file__).resolve().parent.parent


def test_rooms_import_downwards_only():
    program = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run([program], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


@pytest.mark.django_db
def test_no_migration_is_missing():
    call_command("makemigrations", "--check", "--dry-run", stdout=StringIO())
