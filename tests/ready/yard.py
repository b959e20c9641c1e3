"""A cooker without a blower and a person who does what the vent coach asks, half a minute late."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from emberdraft.plant.catalogue import make
from emberdraft.plant.world import World
from emberdraft.ready.coach import VentCoach

LATE_S = 30
EVERY_S = 10


@dataclass
class Held:
    """Readings each 10 s, vent moves (at_s, vent, opening), and when the target was first reached."""

    t_s: np.ndarray
    pit_c: np.ndarray
    moves: list[tuple[float, str, float]] = field(default_factory=list)
    there_s: float | None = None

    def hold(self, target_c: float) -> tuple[float, float]:
        """(share of the hold within 8 degC, moves an hour); the hold begins 20 min after the target is first near."""
        if self.there_s is None:
            return 0.0, 0.0
        from_s = self.there_s + 1200.0
        held = self.t_s >= from_s
        hours = (self.t_s[-1] - from_s) / 3600.0
        moves = sum(at >= from_s for at, _, _ in self.moves)
        return float(np.mean(np.abs(self.pit_c[held] - target_c) <= 8.0)), moves / hours


def yard(name: str, draw: int, wind_mps: float = 1.0, ambient_c: float = 18.0) -> World:
    """A cold cooker without a blower, both vents open."""
    plant: Any = make(name, draw, draw, blower_pa=0.0)
    plant.put_out()
    return World(plant, ambient_c=ambient_c, wind_mps=wind_mps, seed=draw, vent_top=1.0, vent_bottom=1.0)


def coached(world: World, coach: VentCoach, hours: float = 5.0) -> Held:
    """Light it and follow the coach."""
    world.light()
    rows: list[tuple[float, float]] = []
    held = Held(np.zeros(0), np.zeros(0))
    todo: tuple[float, Any] | None = None
    for second in range(1, int(hours * 3600)):
        world.advance(1.0)
        if todo is not None and second >= todo[0]:
            move, todo = todo[1], None
            (world.set_vent_top if move.vent == "top" else world.set_vent_bottom)(move.opening)
            coach.moved(move.vent, move.opening, float(second))
            held.moves.append((float(second), move.vent, move.opening))
        if second % EVERY_S == 0:
            pit_c = world.pit_c
            rows.append((float(second), pit_c if pit_c is not None else np.nan))
            asked = coach.update(float(second), pit_c)
            if asked is not None:
                todo = (second + LATE_S, asked)
            if held.there_s is None and pit_c is not None and pit_c >= coach.target_c - 5.0:
                held.there_s = float(second)
    held.t_s, held.pit_c = np.array([t for t, _ in rows]), np.array([c for _, c in rows])
    return held
