"""docker-compose.yml names commands and settings that exist; the settings start with them."""

from __future__ import annotations

import importlib.util
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from django.core.management import get_commands

from portal.environment import SETTINGS

ROOT = Path(__file__).resolve().parent.parent.parent
COMPOSE = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
OURS = {name: s for name, s in COMPOSE["services"].items() if s.get("image") == "carryover"}
DOT_ENV = {
    "CARRYOVER_URL": "https://golf.example.org",
    "CARRYOVER_SECRET_KEY": "a-long-random-text-0123456789-abcdefghijklmnopqrstuvwxyz",
    "POSTGRES_PASSWORD": "p",
    "S3_PUBLIC_URL": "https://files.example.org",
    "S3_ACCESS_KEY_ID": "key",
    "S3_SECRET_ACCESS_KEY": "secret",
}


def filled(value: str) -> str:
    """Compose's own substitution: ${NAME}, ${NAME:-default}, ${NAME:?message}."""

    def one(match: re.Match[str]) -> str:
        name, kind, rest = match.groups()
        if name in DOT_ENV:
            return DOT_ENV[name]
        assert kind != ":?", f"{name} is required and not among the ones README names"
        return rest or ""

    return re.sub(r"\$\{(\w+)(?:(:[-?])([^}]*))?\}", one, value)


def environment_of(service: dict) -> dict[str, str]:
    return {name: filled(value) for name, value in service["environment"].items()}


def test_it_has_every_part_of_a_site():
    parts = {"web", "clip-worker", "quick-worker", "beat", "proxy", "database", "broker", "store"}
    assert parts <= set(COMPOSE["services"])


@pytest.mark.parametrize("name", OURS)
def test_the_command_exists(name: str):
    command = OURS[name]["command"]
    assert command[0] == "python"
    if command[1] == "manage.py":
        assert (ROOT / "manage.py").exists()
        assert command[2] in get_commands()
    else:
        assert command[1] == "-m"
        assert importlib.util.find_spec(command[2]) is not None


@pytest.mark.parametrize("name", OURS)
def test_every_variable_is_one_that_the_settings_read(name: str):
    assert set(OURS[name]["environment"]) <= set(SETTINGS)


def test_every_queue_has_a_worker():
    queues = {
        s["command"][s["command"].index("-Q") + 1] for s in OURS.values() if "-Q" in s["command"]
    }
    assert queues == {"prepare", "quick"}


@pytest.mark.parametrize("name", OURS)
def test_the_settings_start_with_exactly_this_environment_and_pass_the_deploy_check(
    name: str, tmp_path: Path
):
    environment = {**environment_of(OURS[name]), "CARRYOVER_DATA": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=ROOT,
        env={"PATH": os.environ["PATH"], **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("name", [n for n, s in OURS.items() if "healthcheck" in s])
def test_the_health_check_is_a_command_of_the_site(name: str):
    test = OURS[name]["healthcheck"]["test"]
    assert test[:3] == ["CMD", "python", "manage.py"]
    assert test[3] in get_commands()


def test_files_that_compose_and_the_image_take_from_here_exist():
    for service in COMPOSE["services"].values():
        for volume in service.get("volumes", []):
            source = volume.split(":")[0]
            if source.startswith("."):
                assert (ROOT / source).exists()
            else:
                assert source in COMPOSE["volumes"]
    for line in (ROOT / "Dockerfile").read_text().splitlines():
        if line.startswith("COPY "):
            assert (ROOT / line.split()[1]).exists()


def test_nothing_is_published_beyond_the_loopback():
    for service in COMPOSE["services"].values():
        assert all(port.startswith("127.0.0.1:") for port in service.get("ports", []))
