"""The watchdog, outside the interpreter: it bites what does not feed it, whatever the reason."""

from __future__ import annotations


class Bitten(Exception):  # noqa: N818 - something that happens, not a mistake
    """The watchdog was not fed in time: the board resets."""


class Watchdog:
    """Not running until it is started; once started it cannot be stopped, as on a board."""

    def __init__(self) -> None:
        self._patience_us: int | None = None
        self.deadline_us: int | None = None
        self.feeds = 0

    def start(self, patience_ms: int, now_us: int) -> None:
        """Begin to watch: `patience_ms` without food and it bites."""
        self._patience_us = patience_ms * 1000
        self.feed(now_us)

    def feed(self, now_us: int) -> None:
        """Begin the patience again."""
        self.feeds += 1
        if self._patience_us is not None:
            self.deadline_us = now_us + self._patience_us

    def due(self, now_us: int) -> bool:
        """True once the patience is over."""
        return self.deadline_us is not None and now_us >= self.deadline_us
