"""Runs the page in a thread of its own, so that the host can start it, print its address, and stop it."""

from __future__ import annotations

import asyncio
import socket
import threading

import uvicorn
from starlette.applications import Starlette

from emberdraft.errors import UserError

GRACE_S = 1
POLL_S = 0.02


class PageServer:
    """uvicorn in a thread. Port 0 takes any free port."""

    def __init__(self, app: Starlette, host: str = "127.0.0.1", port: int = 0) -> None:
        self._app = app
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        # With the protocol named, asyncio sets TCP_NODELAY; without it each answer waits 40 ms for an acknowledgement.
        self._socket = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        self._socket.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            self._socket.bind((host, port))
        except OSError as exc:
            self._socket.close()
            raise UserError(f"port {port} on {host}: {exc.strerror}; another port with --port, 0 for any free") from exc
        self.host, self.port = host, int(self._socket.getsockname()[1])
        config = uvicorn.Config(app, log_level="warning", access_log=False, timeout_graceful_shutdown=GRACE_S)
        self._server = uvicorn.Server(config)
        self._loop: asyncio.AbstractEventLoop | None = None
        self._thread = threading.Thread(target=self._run, name="page", daemon=True)

    @property
    def url(self) -> str:
        """Where the page is."""
        name = f"[{self.host}]" if ":" in self.host else self.host
        return f"http://{name}:{self.port}/"

    def start(self) -> PageServer:
        """Returns once the page answers."""
        self._thread.start()
        while not self._server.started and self._thread.is_alive():
            self._thread.join(POLL_S)
        if not self._server.started:
            raise UserError(f"The page could not be started at {self.url}; the host's log says why.")
        return self

    def stop(self) -> None:
        """Ends the streams first, since an open stream holds the server, then the server."""
        if self._loop is not None and self._thread.is_alive():
            asyncio.run_coroutine_threadsafe(self._app.state.hub.close(), self._loop)
        self._server.should_exit = True
        self._thread.join(GRACE_S + 5.0)
        self._socket.close()

    def _run(self) -> None:
        asyncio.run(self._serve())

    async def _serve(self) -> None:
        self._loop = asyncio.get_running_loop()
        await self._server.serve(sockets=[self._socket])
