"""A push service (RFC 8030) on this machine: takes messages over real HTTP, and keeps them."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer


@dataclass(frozen=True)
class Received:
    path: str
    headers: dict[str, str]
    body: bytes


class PushService:
    """Answers with `status`; `received` is what came. `url` is the endpoint of a browser."""

    def __init__(self) -> None:
        self.status = 201
        self.received: list[Received] = []
        service = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"]))
                headers = {name.lower(): value for name, value in self.headers.items()}
                service.received.append(Received(self.path, headers, body))
                self.send_response(service.status)
                if service.status == 307:
                    self.send_header("Location", "/elsewhere")
                self.send_header("Content-Length", "0")
                self.end_headers()

            def log_message(self, *args: object) -> None:
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.thread = threading.Thread(target=self.server.serve_forever, args=(0.05,), daemon=True)

    @property
    def origin(self) -> str:
        return f"http://127.0.0.1:{self.server.server_address[1]}"

    @property
    def url(self) -> str:
        return f"{self.origin}/push/browser-1"

    def __enter__(self) -> PushService:
        self.thread.start()
        return self

    def __exit__(self, *args: object) -> None:
        self.server.shutdown()
        self.server.server_close()
        self.thread.join()
