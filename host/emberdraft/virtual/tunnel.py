"""The network of a lock-step run: bytes carried over the bus to a peer in the same process."""

from __future__ import annotations

from typing import Protocol

CLOSED = 0xFFFFFF  # instead of a number of bytes: the connection is gone


class Peer(Protocol):
    """Who is at the far end: bytes come in, and `outgoing` holds what goes back."""

    outgoing: bytearray

    @property
    def down(self) -> bool: ...

    def opened(self) -> None: ...
    def closed(self) -> None: ...
    def take(self, data: bytes) -> None: ...


class Tunnel:
    """One connection at a time between the board and a peer."""

    def __init__(self, peer: Peer) -> None:
        self._peer = peer
        self._is_open = False

    @property
    def waiting(self) -> int:
        """Bytes that the board could read now, or CLOSED."""
        if self._peer.down:
            return CLOSED
        return min(len(self._peer.outgoing), CLOSED - 1) if self._is_open else 0

    def open(self) -> None:
        """The board connects; what the last connection left is gone."""
        self.close()
        self._is_open = True
        self._peer.outgoing.clear()
        self._peer.opened()

    def close(self) -> None:
        """Either side is gone."""
        if self._is_open:
            self._is_open = False
            self._peer.closed()

    def from_board(self, data: bytes) -> None:
        """Bytes that the board sent."""
        if self._is_open:
            self._peer.take(data)

    def to_board(self, count: int) -> bytes:
        """At most `count` bytes for the board."""
        out = bytes(self._peer.outgoing[:count])
        del self._peer.outgoing[:count]
        return out + bytes(count - len(out))
