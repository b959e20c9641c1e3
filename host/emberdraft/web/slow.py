"""Guessing made slow: after each failure a longer wait before the next try of the same key is looked at at all.

No key waits for what another one did: who guesses from one place must not keep everybody else out.
"""

from __future__ import annotations

import ipaddress

FIRST_S = 1.0
LONGEST_S = 64.0
FORGET_S = 900.0
MOST_KEYS = 256


class Slow:
    """Failures by key; time is passed in. `free` of them cost nothing, the wait is never over `longest_s`."""

    def __init__(self, free: int = 0, longest_s: float = LONGEST_S) -> None:
        self.free, self.longest_s = free, longest_s
        self._failed: dict[str, tuple[int, float]] = {}  # key -> (how often, when last)

    def wait_s(self, key: str, now_s: float) -> float:
        """How long `key` must still wait; 0 = it may try now."""
        count, at_s = self._failed.get(key, (0, 0.0))
        over = count - self.free
        if over <= 0 or now_s - at_s > FORGET_S:
            return 0.0
        return max(0.0, at_s + min(self.longest_s, FIRST_S * 2.0 ** min(over - 1, 10)) - now_s)

    def failed(self, key: str, now_s: float) -> None:
        """A try of `key` was wrong."""
        count, at_s = self._failed.pop(key, (0, now_s))
        self._failed[key] = (1 if now_s - at_s > FORGET_S else count + 1, now_s)
        while len(self._failed) > MOST_KEYS:
            self._failed.pop(next(iter(self._failed)))

    def passed(self, key: str) -> None:
        """A try of `key` was right."""
        self._failed.pop(key, None)


def place(address: str) -> str:
    """Where a try comes from: an IPv4 address, or the 64 bits of an IPv6 one that a house has to itself."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return address
    return address if found.version == 4 else str(ipaddress.ip_network((found, 64), strict=False))
