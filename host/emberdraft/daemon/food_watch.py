"""Food that is about to be unsafe: kept below 60 degC with nothing that heats it.

USDA FSIS ("Danger Zone", 40 to 140 degF): perishable food is thrown away after 2 h between 4.4 and 60 degC. What counts
here is what is around it, since a thick piece in a hot pit is cold in its middle for longer than that: a pit under
60 degC with a piece in it, and a piece that waits out of the pit for its sear. Said half an hour before the two are
over.
"""

from __future__ import annotations

from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.run import PieceRun, View

WARM_C = 60.0
SAID_AFTER_S = 5400.0


class FoodWatch:
    """`look` about once a second. Times in unix s."""

    def __init__(self) -> None:
        self._cold_since_s: float | None = None

    def look(self, conductor: Conductor | None, view: View, now_s: float) -> tuple[float, float] | None:
        """How long (s) the coldest piece has been kept below how much (degC), once that is too long; else None."""
        if conductor is None:
            self._cold_since_s = None
            return None
        self._note(view, now_s)
        longest_s = max((self._cold_s(piece, conductor, now_s) for piece in conductor.run.pieces), default=0.0)
        return (longest_s, WARM_C) if longest_s >= SAID_AFTER_S else None

    def _note(self, view: View, now_s: float) -> None:
        """Since when the pit is cold; with no word from it nothing changes."""
        if view.pit_c is None or not view.fresh(now_s):
            return
        if view.pit_c >= WARM_C:
            self._cold_since_s = None
        elif self._cold_since_s is None:
            self._cold_since_s = now_s

    def _cold_s(self, piece: PieceRun, conductor: Conductor, now_s: float) -> float:
        if piece.state == "in" and piece.on_s is not None and self._cold_since_s is not None:
            return now_s - max(self._cold_since_s, piece.on_s)
        waits = piece.state == "resting" and conductor.plan.sear is not None and conductor.phase != "bank"
        return now_s - piece.pulled_s if waits and piece.pulled_s is not None else 0.0
