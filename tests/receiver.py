"""A real receiver of notices: a web server on this machine that keeps what it is sent."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from typing import Any


class Hook(HTTPServer):
    """A web server here that keeps what it is sent, and answers `status`."""

    def __init__(self) -> None:
        self.got: list[tuple[str, str, Any]] = []
        self.status = 204
        hook = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"]))
                hook.got.append((self.path, self.headers["Content-Type"], json.loads(body)))
                self.send_response(hook.status)
                self.end_headers()

            def log_message(self, *_args: Any) -> None:
                return

        super().__init__(("127.0.0.1", 0), Handler)

    @property
    def place(self) -> str:
        return f"127.0.0.1:{self.server_port}"


@contextmanager
def receiving() -> Iterator[Hook]:
    """The server, running."""
    made = Hook()
    thread = threading.Thread(target=made.serve_forever, args=(0.01,))
    thread.start()
    yield made
    made.shutdown()
    thread.join(5.0)
    made.server_close()


def until(true: Callable[[], Any], most_s: float = 20.0) -> None:
    """Wait for what another thread does."""
    end_s = time.monotonic() + most_s
    while not true():
        assert time.monotonic() < end_s
        time.sleep(0.01)
