"""Is the board there? Judged by the age of its last live reading, and by nothing else.

A connection that says it is up proves nothing: a client library can sit on a dead socket, and a
broker can keep a dead board's place. What a board or its will says of itself counts only until a
newer reading says otherwise. No clock: time is passed in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

State = Literal["never", "online", "silent", "offline"]

SILENT_AFTER_S = 10.0  # ten readings missed
REAL_HICCUP_S = 2.0  # what a busy computer may take, at any speed of the clock


@dataclass(frozen=True)
class LinkView:
    """What is known of a link: `heard_s` is the age of the last live reading, None = none yet."""

    state: State
    heard_s: float | None
    boot: str | None
    text: str


def silent_after_s(speed: float) -> float:
    """From what age of the last reading a board is silent; `speed`: how many times faster than real time it runs."""
    return max(SILENT_AFTER_S, REAL_HICCUP_S * speed)


class Liveness:
    """One board's link; `speed` is how many times faster than real time the clock runs."""

    def __init__(self, speed: float = 1.0) -> None:
        self.silent_after_s = silent_after_s(speed)
        self.boot: str | None = None
        self._heard_at_s: float | None = None
        self._offline_at_s: float | None = None

    def heard(self, boot: str, at_s: float) -> None:
        """A live reading of this boot arrived."""
        self.boot = boot
        self._heard_at_s = at_s

    def told(self, state: str, boot: str, at_s: float) -> None:
        """A `link` message: the board's own, or its will."""
        if state == "online":
            if boot != self.boot:
                self._heard_at_s = None  # readings of an earlier start say nothing of this one
            self.boot, self._offline_at_s = boot, None
        elif self.boot in (None, boot):  # an old will cannot end a newer start
            self.boot, self._offline_at_s = boot, at_s

    def view(self, now_s: float) -> LinkView:
        """What to show now."""
        heard_s = None if self._heard_at_s is None else max(0.0, now_s - self._heard_at_s)
        state = self._state(heard_s)
        return LinkView(state, heard_s, self.boot, _text(state, heard_s))

    def _state(self, heard_s: float | None) -> State:
        gone_at_s, last_s = self._offline_at_s, self._heard_at_s
        if gone_at_s is not None and (last_s is None or last_s <= gone_at_s):
            return "offline"
        if heard_s is None:
            return "never"
        return "online" if heard_s <= self.silent_after_s else "silent"


def _text(state: State, heard_s: float | None) -> str:
    if state == "online":
        return "The board is heard."
    if heard_s is None:
        return "The board has not been heard yet." if state == "never" else "The board is switched off or out of reach."
    since = f"{heard_s:.0f} s ago" if heard_s < 120.0 else f"{heard_s / 60.0:.0f} min ago"
    if state == "offline":
        return f"The board has gone; its last reading came {since}. It holds on by itself if it has power."
    return f"No reading from the board; the last came {since}. It holds on by itself if it has power."
