"""The stand-in wraps what its plan says is wrapped: at the mark, or when the core has stood still for an hour.

A face that is wrapped gives off no steam. Simulated food dries to a floor and no
further: nothing else ends its plateau.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from emberdraft.daemon.plan import Plan
from emberdraft.plant.slab import Slab

LOOK_S = 60.0
STILL_S, STILL_C = 3600.0, 1.0


class Wrapping:
    """`look` about once a second. A cooker that is reached from afar, or of another's making, has no face to wrap."""

    def __init__(self, plan: Plan, world: Any) -> None:
        self.pieces = [piece for piece in plan.pieces if piece.wrap_c is not None and piece.probe is not None]
        self.world = world
        self._rose: dict[str, tuple[float, float]] = {}  # letter -> core at its last clear rise, and when
        self._next_s = 0.0

    def look(self, now_s: float, indexes: Mapping[str, int]) -> None:
        """Wrap what is in and due."""
        if not self.pieces or now_s < self._next_s:
            return
        self._next_s = now_s + LOOK_S
        for piece in [piece for piece in self.pieces if piece.letter in indexes]:
            core_c = self.world.probe_c(piece.probe)
            if core_c is not None and (core_c >= piece.wrap_c or self._still(piece.letter, core_c, now_s)):
                self._wrap(indexes[piece.letter])
                self.pieces.remove(piece)

    def _still(self, letter: str, core_c: float, now_s: float) -> bool:
        was_c, at_s = self._rose.setdefault(letter, (core_c, now_s))
        if core_c >= was_c + STILL_C:
            self._rose[letter] = core_c, now_s
            return False
        return now_s - at_s >= STILL_S

    def _wrap(self, index: int) -> None:
        pieces = getattr(getattr(self.world, "plant", None), "pieces", None)
        if pieces is not None:
            pieces[index] = Wrapped(pieces[index])


class Wrapped(Slab):
    """A piece as it is, and no steam leaves it from now on."""

    def __init__(self, piece: Slab) -> None:
        self.__dict__.update(piece.__dict__)
        self.wet = 0.0

    def dry(self, dt_s: float, gone_gm2s: float, dry_g_m2: float, dry_floor: float) -> None:
        """Nothing leaves it."""
