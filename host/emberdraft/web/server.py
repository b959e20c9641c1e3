"""Runs the page in a thread of its own, so that the host can start it, print its address, and stop it."""

from __future__ import annotations

import asyncio
import socket
import threading

import uvicorn
from starlette.applications import Starlette

from emberdraft.errors import UserError
from emberdraft.web.connections import BoundedProtocol

GRACE_S = 1
POLL_S = 0.02


class PageServer:
    """uvicorn in a thread. Port 0 takes any free port. `also`: a further address of this machine, same port."""

    def __init__(self, app: Starlette, host: str = "127.0.0.1", port: int = 0, also: str = "") -> None:
        self._app = app
        self._sockets = [_bound(host, port)]
        self.host, self.port = host, int(self._sockets[0].getsockname()[1])
        if also:
            try:
                self._sockets.append(_bound(also, self.port))
            except UserError:
                self._close()
                raise
        # Who a request comes from is read off the connection: a header that names somebody else is no proof.
        config = uvicorn.Config(
            app, log_level="warning", access_log=False, proxy_headers=False, timeout_graceful_shutdown=GRACE_S,
            http=BoundedProtocol, ws="none",
        )  # fmt: skip
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
        self._close()

    def _close(self) -> None:
        for each in self._sockets:
            each.close()

    def _run(self) -> None:
        asyncio.run(self._serve())

    async def _serve(self) -> None:
        self._loop = asyncio.get_running_loop()
        await self._server.serve(sockets=self._sockets)


def _bound(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # With the protocol named, asyncio sets TCP_NODELAY; without it each answer waits 40 ms for an acknowledgement.
    made = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((host, port))
    except OSError as exc:
        made.close()
        raise UserError(f"port {port} on {host}: {exc.strerror}; another port with --port, 0 for any free") from exc
    return made
