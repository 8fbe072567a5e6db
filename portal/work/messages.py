"""Messages in a folder, for a site without Redis; `broker_transport` in the settings names it.

kombu's own folders write a message under its final name. On a full disk that leaves an empty file,
and a worker that reads one ends. Here a message is there whole or not at all, and one that can't
be read is let go: the row is the truth, and the sweep sends it again.
"""

from __future__ import annotations

import logging
import time
import uuid
from contextlib import suppress
from pathlib import Path
from queue import Empty
from typing import Any

from kombu.exceptions import ChannelError
from kombu.transport import filesystem
from kombu.utils.encoding import str_to_bytes
from kombu.utils.json import dumps, loads

log = logging.getLogger(__name__)


class Channel(filesystem.Channel):
    """Each message is a file `<nanoseconds>_<random>.<queue>.msg`; the oldest goes first."""

    def _put(self, queue: str, payload: dict[str, Any], **_: object) -> None:
        name = f"{time.time_ns()}_{uuid.uuid4().hex}.{queue}.msg"
        whole = Path(self.data_folder_out) / name
        part = whole.with_suffix(".part")
        try:
            part.write_bytes(str_to_bytes(dumps(payload)))
            part.rename(whole)
        except OSError as error:
            with suppress(OSError):
                part.unlink(missing_ok=True)
            raise ChannelError(f"no message could be put into {whole.parent}") from error

    def _get(self, queue: str) -> dict[str, Any]:
        for path in sorted(Path(self.data_folder_in).iterdir()):
            if path.name.partition(".")[2] != f"{queue}.msg":
                continue
            taken = path.with_suffix(".taken")
            try:
                path.rename(taken)
                data = taken.read_bytes()
                taken.unlink()
                payload: dict[str, Any] = loads(data)
            except FileNotFoundError:
                continue  # another worker was faster
            except (OSError, ValueError) as error:
                log.warning("message %s can't be read and is let go: %s", path, error)
                continue
            return payload
        raise Empty

    def get_table(self, exchange: str) -> list[Any]:
        """Which queues an exchange leads to; none where a full disk cut its file short."""
        try:
            table: list[Any] = super().get_table(exchange)
        except ValueError:
            return []
        return table

    def _queue_bind(self, exchange: str, routing_key: str, pattern: str, queue: str) -> None:
        try:
            super()._queue_bind(exchange, routing_key, pattern, queue)
        except ValueError:
            self._exchange_file(exchange).unlink(missing_ok=True)
            super()._queue_bind(exchange, routing_key, pattern, queue)


class Transport(filesystem.Transport):
    """kombu's transport over folders, with the channel above."""

    Channel = Channel
