"""Messages in a folder: whole or not at all, and none stops a worker."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from kombu import Connection
from kombu.exceptions import ChannelError, OperationalError
from kombu.simple import SimpleQueue

from portal.celery import app
from portal.work.messages import Transport

FOLDERS = {"data_folder_in": "queue", "data_folder_out": "queue", "control_folder": "control"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in set(FOLDERS.values()):
        (tmp_path / name).mkdir()
    return tmp_path / "queue"


@contextmanager
def opened(folder: Path) -> Iterator[SimpleQueue]:
    """A queue as a process that has just started finds it."""
    Transport.global_state.clear()
    options = {name: str(folder.parent / where) for name, where in FOLDERS.items()}
    with (
        Connection(
            "filesystem://localhost//",
            transport="portal.work.messages:Transport",
            transport_options={**options, "polling_interval": 0.01},
        ) as connection,
        connection.SimpleQueue("quick") as queue,
    ):
        yield queue


@pytest.fixture
def queue(folder: Path) -> Iterator[SimpleQueue]:
    with opened(folder) as queue:
        yield queue


def taken(queue: SimpleQueue) -> list[object]:
    """All that waits in the queue, in order."""
    found = []
    while True:
        try:
            message = queue.get(timeout=0.1)
        except queue.Empty:
            return found
        message.ack()
        found.append(message.payload)


def test_without_redis_the_site_sends_by_it():
    assert app.conf.broker_transport == "portal.work.messages:Transport"


def test_messages_come_whole_in_order_and_once(queue: SimpleQueue, folder: Path):
    for number in range(3):
        queue.put({"pk": number})
    assert taken(queue) == [{"pk": 0}, {"pk": 1}, {"pk": 2}]
    assert list(folder.iterdir()) == []


def test_a_message_that_cannot_be_read_is_let_go(queue: SimpleQueue, folder: Path):
    (folder / "0_a.quick.msg").touch()
    (folder / "0_b.quick.msg").write_bytes(b'{"body": "')
    (folder / "0_c.quick.msg").write_bytes(b"\xff\xfe")
    queue.put({"pk": 1})
    assert taken(queue) == [{"pk": 1}]
    assert list(folder.iterdir()) == []


def test_a_full_disk_leaves_no_half_of_a_message(
    queue: SimpleQueue, folder: Path, monkeypatch: pytest.MonkeyPatch
):
    def half(path: Path, data: bytes) -> int:
        with path.open("wb") as file:
            file.write(data[:10])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as full:
        full.setattr(Path, "write_bytes", half)
        with pytest.raises((ChannelError, OperationalError)):
            queue.put({"pk": 1})
    assert list(folder.iterdir()) == []
    assert taken(queue) == []


def test_what_leads_to_a_queue_is_written_anew_where_it_was_cut_short(
    queue: SimpleQueue, folder: Path
):
    table = folder.parent / "control" / "quick.exchange"
    whole = table.read_bytes()
    table.write_bytes(b"")
    with opened(folder) as again:
        again.put({"pk": 1})
    assert table.read_bytes() == whole
    assert taken(queue) == [{"pk": 1}]
