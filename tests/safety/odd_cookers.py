"""What can be odd about any cooker and is no fault: dead time, damp charcoal, a gusty draught. Wrappers."""

from __future__ import annotations

from collections import deque
from random import Random
from typing import Any

from emberdraft.plant.contract import Plant

WET_C = 65.0  # damp charcoal in hot dry gas, about its wet bulb
LATENT_J_KG = 2.4e6
STEADY_JPK = 1e12  # of a body that stays as warm as it is
CALM_S = (8.0, 60.0)  # a gust's age


class Odd:
    """A plant around another: the same form, the same deeds."""

    def __init__(self, plant: Plant) -> None:
        self.plant = plant

    def __getattr__(self, name: str) -> Any:
        if name == "plant":  # while it is being copied there is none yet
            raise AttributeError(name)
        return getattr(self.plant, name)

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """One step of the plant inside."""
        return self.plant.step(dt_s, u)


class Late(Odd):
    """Blower and intake reach the fire so many seconds later: pure dead time, steps of a second."""

    def __init__(self, plant: Plant, dead_s: int) -> None:
        super().__init__(plant)
        self._on_its_way = deque([(0.0, 1.0)] * dead_s)

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """What was commanded `dead_s` ago acts now."""
        self._on_its_way.append((u["blower"], u["intake"]))
        blower, intake = self._on_its_way.popleft()
        return super().step(dt_s, {**u, "blower": blower, "intake": intake})


class Damp(Odd):
    """Charcoal with `water_kg` in it: until that has gone, drying takes `wpk` W/K of the pit above its wet bulb."""

    def __init__(self, plant: Plant, water_kg: float, wpk: float) -> None:
        super().__init__(plant)
        plant.add_mass(1.0, WET_C)  # type: ignore[attr-defined]
        self._body = plant.parts[-1]  # type: ignore[attr-defined]
        store, self._flow = ("heat_jk", "pit_wk") if hasattr(self._body, "pit_wk") else ("heat_jpk", "g_wpk")
        setattr(self._body, store, STEADY_JPK)
        self.left_j, self.wpk = water_kg * LATENT_J_KG, wpk

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Nothing dries below the wet bulb, nor what is dry."""
        warmer_c = max(0.0, self.plant.pit_c - WET_C)  # type: ignore[attr-defined]
        wpk = self.wpk if warmer_c > 0.0 and self.left_j > 0.0 else 0.0
        setattr(self._body, self._flow, wpk)
        self.left_j -= wpk * warmer_c * dt_s
        return super().step(dt_s, u)


class Gusty(Odd):
    """Gusts at the chimney and the intake: both openings waver by up to `share` of themselves."""

    def __init__(self, plant: Plant, share: float, seed: int) -> None:
        super().__init__(plant)
        self.chance, self.share = Random(f"gusty {seed}"), share
        self._now = {"intake": 0.0, "exhaust": 0.0}
        self._age_s = self.chance.uniform(*CALM_S)

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Each wavers by itself, and forgets."""
        part = dt_s / self._age_s
        for name in self._now:
            self._now[name] += -part * self._now[name] + (2.0 * part) ** 0.5 * self.chance.gauss(0.0, 0.5)
        wavering = {n: min(1.0, u[n] * (1.0 + self.share * max(-1.0, min(1.0, w)))) for n, w in self._now.items()}
        return super().step(dt_s, {**u, **wavering})
