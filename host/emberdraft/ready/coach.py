"""The vent coach: for a cooker without a blower, which vent, how far, when. Few moves, the first well ahead.

A ceramic cooker answers a vent in a quarter of an hour and more, and its fire overshoots what the vents would hold.
So a move is sized from where the pit is going, not from where it is, and the next waits until the last one can be seen.
What the vents hold in the end is learnt on the way: each move starts from the opening that seems to hold.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass
from typing import Any

from emberdraft.said import Difference, Text, said

MOST_AN_HOUR = 6
LEAST_BETWEEN_S = 660.0  # at most five moves an hour, when all goes as it should
URGENT_BETWEEN_S = 420.0
URGENT_C = 12.0
AFTER_LID_S = 720.0
RATE_OVER_S = 300.0
LOOK_AHEAD_S = 1800.0  # where the pit is going: its rate, held for this long
QUIET_C = 2.5
PINCH_LEAD_S, PINCH_LEAST_C = 540.0, 20.0
STALLED_S = 3600.0
PINCH_TO = 0.3
BOTTOM_TO = 1.0 / 4.0
HOLDS_FIRST = 0.17
GAIN = 2.0  # log of the opening for each share of the rise over the air that is missing
STEP = 0.01
FINE_TOP = 0.07  # below this a top vent is too coarse a handle, and what leaks past it counts as much
LEAST_BOTTOM, BOTTOM_STEP = 0.06, 0.65
SMALLEST_MOVE = 0.08  # of the opening: less is not worth a walk


@dataclass(frozen=True)
class Move:
    """Set `vent` ('top' or 'bottom') to `opening`, 0..1; `why` in a few words."""

    vent: str
    opening: float
    why: Text


class VentCoach:
    """Feed it readings; it asks for a move now and then. Call `moved` when the person says that it is done."""

    def __init__(
        self, target_c: float, ambient_c: float = 20.0, holds: float | None = None, bottom: float = BOTTOM_TO
    ) -> None:
        self.target_c = target_c
        self.ambient_c = ambient_c
        self.holds = HOLDS_FIRST if holds is None else holds
        self.bottom = bottom
        self.top_now = self.bottom_now = 1.0
        self.stage = "up"  # up, pinched, hold
        self._last_move_s = self._lid_s = -math.inf
        self._points: deque[tuple[float, float]] = deque()
        self._waits = False
        self._moves: deque[float] = deque(maxlen=MOST_AN_HOUR)

    def kept(self) -> dict[str, Any]:
        """What must survive a restart, as plain JSON; the readings of the last minutes come anew."""
        last_s = None if math.isinf(self._last_move_s) else self._last_move_s
        return {"stage": self.stage, "last_move_s": last_s, "moves_s": list(self._moves), "waits": self._waits}

    def take_up(self, kept: dict[str, Any], top: float, bottom: float) -> None:
        """Go on where another left off, with the vents where they are."""
        self.top_now, self.bottom_now = top, bottom
        self.stage, self._waits = kept["stage"], kept["waits"]
        self._last_move_s = -math.inf if kept["last_move_s"] is None else kept["last_move_s"]
        self._moves.extend(kept["moves_s"])

    def ask_anew(self) -> None:
        """What was asked for is no longer waited for: it was not done, and the pit has gone on."""
        self._waits = False

    def moved(self, vent: str, opening: float, t_s: float) -> None:
        """The person has set a vent, asked or not."""
        if vent == "top":
            self.top_now = opening
        else:
            self.bottom_now = opening
        self._last_move_s, self._waits = t_s, False
        if self.stage == "hold":
            self._moves.append(t_s)

    def update(self, t_s: float, pit_c: float | None, lid_open: bool = False) -> Move | None:
        """A reading, degC; a move to ask for, or None."""
        if pit_c is None or lid_open:
            self._points.clear()
            self._lid_s = t_s if lid_open else self._lid_s
            return None
        self._points.append((t_s, pit_c))
        while t_s - self._points[0][0] > RATE_OVER_S:
            self._points.popleft()
        rate_cps = self._rate()
        if rate_cps is None or self._waits:
            return None
        move = self._coming_up(pit_c, rate_cps) if self.stage != "hold" else self._holding(t_s, pit_c, rate_cps)
        self._waits = move is not None
        return move

    def _coming_up(self, pit_c: float, rate_cps: float) -> Move | None:
        short_c = self.target_c - pit_c
        lead_c = max(PINCH_LEAST_C, rate_cps * PINCH_LEAD_S)
        if self.stage == "up" and short_c < lead_c:
            self.stage = "bottom"
            why = said("{short} before the target: the fire goes on growing", short=Difference(short_c, 0))
            return Move("bottom", self.bottom, why)
        if self.stage == "bottom":
            self.stage = "pinched"
            return Move("top", max(PINCH_TO, 2.0 * self.holds), "first pinch")
        if self.stage == "pinched" and short_c < max(5.0, rate_cps * PINCH_LEAD_S):
            self.stage = "hold"
            return Move("top", _stepped(self.holds), "second pinch: what should hold it")
        if self.stage == "pinched" and rate_cps * STALLED_S < short_c:
            self.stage = "hold"
        return None

    def _holding(self, t_s: float, pit_c: float, rate_cps: float) -> Move | None:
        coming_c = pit_c + rate_cps * LOOK_AHEAD_S
        off_c = self.target_c - coming_c
        if len(self._moves) == MOST_AN_HOUR and t_s - self._moves[0] < 3600.0:
            return None
        if t_s - self._lid_s < AFTER_LID_S:  # what comes back by itself is no sign of where the fire is going
            return None
        waited_s = t_s - self._last_move_s
        if waited_s < (URGENT_BETWEEN_S if abs(off_c) > URGENT_C else LEAST_BETWEEN_S) or abs(off_c) < QUIET_C:
            return None
        rise_c = max(40.0, self.target_c - self.ambient_c)
        factor = min(1.8, max(0.4, math.exp(GAIN * off_c / rise_c)))
        base = max(self.top_now, 0.02)
        way = "over" if off_c < 0.0 else "under"
        why = said(f"in half an hour it would be {{off}} {way}", off=Difference(abs(off_c), 0))
        if off_c < 0.0 and self.top_now < FINE_TOP and self.bottom_now > LEAST_BOTTOM:
            return Move("bottom", _stepped(BOTTOM_STEP * self.bottom_now), why)
        if off_c > 0.0 and self.bottom_now < self.bottom:
            return Move("bottom", min(self.bottom, _stepped(self.bottom_now / BOTTOM_STEP)), why)
        opening = _stepped(base * factor)
        if opening == _stepped(self.top_now):
            opening = _stepped(base + math.copysign(STEP, off_c))
        if abs(opening - self.top_now) < SMALLEST_MOVE * base:
            return None
        return Move("top", opening, why)

    def _rate(self) -> float | None:
        """degC a second over the last minutes."""
        points = self._points
        if len(points) < 5 or points[-1][0] - points[0][0] < 0.5 * RATE_OVER_S:
            return None
        n = len(points)
        mean_t, mean_c = sum(t for t, _ in points) / n, sum(c for _, c in points) / n
        spread = sum((t - mean_t) ** 2 for t, _ in points)
        return sum((t - mean_t) * (c - mean_c) for t, c in points) / spread


def _stepped(opening: float) -> float:
    return min(1.0, max(0.0, round(round(opening / STEP) * STEP, 2)))
