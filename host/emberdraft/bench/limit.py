"""The limit: how small the integral of the error could be on this cooker, in this very run.

Two independent optimisers get what no controller has: the true state, the plant itself, the weather and the hands to
come. One searches the numbers of a switching-and-holding law by running the whole story again and again
(`limit_law`); the other looks ahead on copies of the plant and decides anew every two minutes (`limit_horizon`). The
better of the two is the limit. Neither knows of a new set-point before it is ordered. A controller that does better
than the limit proves that the limit is none: the bench then fails.
"""

from __future__ import annotations

from dataclasses import dataclass

from . import limit_horizon, limit_law
from .rig import Rig


@dataclass(frozen=True)
class Limit:
    """Integral of absolute error in degC s that each optimiser reached."""

    law_cs: float
    horizon_cs: float

    @property
    def iae_cs(self) -> float:
        """The better one."""
        return min(self.law_cs, self.horizon_cs)


def find_limit(rig: Rig) -> Limit:
    """Run both on copies of a fresh rig."""
    return Limit(limit_law.best_iae_cs(rig), limit_horizon.best_iae_cs(rig))
