"""A TCP proxy on the loopback that can stand still: what waits in it comes when it goes on."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from types import TracebackType

from emberdraft.daemon.broker import free_port

HOST = "127.0.0.1"
PIECE = 1024


class Proxy:
    """Between a client and the broker at `port`; `port` of its own once it is entered."""

    def __init__(self, port: int) -> None:
        self.port = free_port(HOST)
        self.connections = 0
        self._far = port
        self._loop: asyncio.AbstractEventLoop | None = None
        self._flows = asyncio.Event()
        self._over = asyncio.Event()
        self._up = threading.Event()
        self._thread = threading.Thread(target=lambda: asyncio.run(self._serve()), daemon=True)

    def __enter__(self) -> Proxy:
        self._thread.start()
        assert self._up.wait(10.0)
        self.flow()
        return self

    def __exit__(self, _kind: type | None, _error: BaseException | None, _trace: TracebackType | None) -> None:
        self._ask(self._over.set)
        self._thread.join()

    def stall(self) -> None:
        """From now on nothing passes, either way, on connections old and new."""
        self._ask(self._flows.clear)

    def flow(self) -> None:
        """What waits goes on, and all that comes."""
        self._ask(self._flows.set)

    def _ask(self, deed: Callable[[], None]) -> None:
        assert self._loop is not None
        self._loop.call_soon_threadsafe(deed)

    async def _serve(self) -> None:
        self._loop = asyncio.get_running_loop()
        server = await asyncio.start_server(self._join, HOST, self.port)
        self._up.set()
        await self._over.wait()
        server.close()

    async def _join(self, near_in: asyncio.StreamReader, near_out: asyncio.StreamWriter) -> None:
        self.connections += 1
        far_in, far_out = await asyncio.open_connection(HOST, self._far)
        ways = ((near_in, far_out), (far_in, near_out))
        try:
            await asyncio.gather(*(self._carry(*way) for way in ways), return_exceptions=True)
        finally:
            near_out.close()
            far_out.close()

    async def _carry(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        while True:
            await self._flows.wait()
            data = await reader.read(PIECE)
            await self._flows.wait()
            if not data:
                writer.close()
                return
            writer.write(data)
            await writer.drain()
