"""The parts of a running site: web, workers and beat, as commands."""

from __future__ import annotations

import os
import socket
import sys
from pathlib import Path

from botocore.exceptions import ClientError
from django.conf import settings
from django.core.files.storage import default_storage
from django.core.management import call_command

from portal.operations.family import Child


def children(host: str, port: int) -> list[Child]:
    """Web, one worker for preparing clips, one for quick work, and beat."""
    python = sys.executable
    celery = [python, "-m", "celery", "--quiet", "-A", "portal"]
    worker = [*celery, "worker", "--loglevel", "WARNING", "--without-gossip", "--without-mingle"]
    web = [python, "-m", "granian", "--interface", "asginl", "--host", host, "--port", str(port)]
    quiet = ["--log-level", "warning", "--no-ws"]
    return [
        Child("web server", [*web, *quiet, "portal.asgi:application"]),
        Child("clip worker", [*worker, "-Q", "prepare", "-c", "1", "-n", "prepare@%h"]),
        Child("quick worker", [*worker, "-Q", "quick", "-c", "2", "-n", "quick@%h"]),
        Child("clock", [*celery, "beat", "--loglevel", "WARNING"]),
    ]


def environment(url: str) -> dict[str, str]:
    """The children's environment: this one, with the site's address and its own program path."""
    program_folder = str(Path(sys.executable).parent)
    path = os.pathsep.join([program_folder, os.environ.get("PATH", "")])
    return {**os.environ, "CARRYOVER_URL": url, "PATH": path, "PYTHONUNBUFFERED": "1"}


def make_ready() -> None:
    """Bring the database to this version, collect the static files, make the store's bucket."""
    call_command("migrate", verbosity=0, interactive=False)
    if settings.S3_BUCKET:
        make_bucket(settings.S3_BUCKET)
    if not settings.DEBUG:
        call_command("collectstatic", verbosity=0, interactive=False)


def make_bucket(name: str) -> None:
    """Make the store's bucket if it is not there; raises the store's own error otherwise."""
    client = default_storage.connection.meta.client
    try:
        client.head_bucket(Bucket=name)
    except ClientError as error:
        if error.response["ResponseMetadata"]["HTTPStatusCode"] != 404:
            raise
        client.create_bucket(Bucket=name)


def port_is_free(host: str, port: int) -> bool:
    """Whether the web server can listen there."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
    return True


def answers(host: str, port: int) -> bool:
    """Whether something listens there already."""
    with socket.socket() as probe:
        probe.settimeout(0.5)
        return probe.connect_ex((host, port)) == 0
