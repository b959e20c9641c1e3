"""A worn ceramic cooker: leaks both ways that drift, air that passes the fire by, two layers, probe up in the dome.

Differs from HeavyCeramic in the gas path: the gasket's leak wanders with a random walk and jumps each
time the lid is shut, the low seam feeds the fire even with the damper shut, no flap closes the blower,
and a share of the air reaches the pit round the bed.
"""

from __future__ import annotations

from typing import Any, ClassVar

from emberdraft.plant.flow import conductance
from emberdraft.plant.heavy_ceramic import CONSTANTS, HeavyCeramic

DRIFT_EVERY_S = 20.0


class LeakyCeramic(HeavyCeramic):
    """See the module; `leak` is the present multiple of the fresh leak areas."""

    CONSTANTS: ClassVar[dict[str, float]] = {
        **CONSTANTS,
        "shell_layers": 2.0,
        "shell_kg": 60.0,
        "low_leak_m2": 1.0e-4,
        "seam_m2": 5.0e-4,
        "flap_m2": 2.0e-4,
        "blower_pa": 60.0,
        "blower_gps": 4.5,
        "past_bed": 0.14,  # share of the air that misses the fire
        "leak_walk": 0.35,  # spread of the wandering leak, in logarithm
        "leak_walk_s": 5400.0,
        "leak_jump": 0.25,  # spread of the jump at each shutting of the lid
        "probe_up": 0.8,
        "dome_k_kw": 25.0,
        "dome_s": 60.0,
    }
    SPREAD: ClassVar[dict[str, tuple[float, float]]] = {
        "shell_kg": (45.0, 85.0),
        "blower_pa": (45.0, 140.0),
        "blower_gps": (3.8, 7.0),
        "low_leak_m2": (0.5e-4, 1.1e-4),
        "seam_m2": (2.5e-4, 9.0e-4),
        "past_bed": (0.05, 0.25),
        "grow_s": (400.0, 720.0),
        "shrink_s": (800.0, 2000.0),
        "probe_up": (0.3, 1.0),
        "dome_s": (30.0, 120.0),
        "outer_m2": (1.3, 2.1),
        "wind_share": (0.08, 0.25),
        "uneven": (0.05, 0.14),
        "fuel_kg": (2.0, 4.0),
    }

    def __init__(self, seed: int = 0, **overrides: float) -> None:
        super().__init__(seed, **overrides)
        self.leak = 1.0
        self._walk = 0.0
        self._jumps = 0.0
        self._drift_at_s = 0.0
        self._was_open = False

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Advance `dt_s` (0.25 to 5 s) under `u`; see contract.py."""
        if self._was_open and not u["lid_open"]:
            self._jumps += self.c["leak_jump"] * self.chance.gauss(0.0, 1.0)
            self._set_leak()
        self._was_open = bool(u["lid_open"])
        if self.now_s >= self._drift_at_s:
            self._wander()
        return super().step(dt_s, u)

    def _past_bed(self, air: float) -> float:
        return air * self.c["past_bed"]

    def _wander(self) -> None:
        """The gasket gives and takes as it warms: an Ornstein-Uhlenbeck walk of the leak's logarithm."""
        self._drift_at_s = self.now_s + DRIFT_EVERY_S
        fade = DRIFT_EVERY_S / self.c["leak_walk_s"]
        self._walk += -fade * self._walk + self.c["leak_walk"] * (2.0 * fade) ** 0.5 * self.chance.gauss(0.0, 1.0)
        self._set_leak()

    def _set_leak(self) -> None:
        self.leak = 2.718281828 ** max(-1.0, min(1.0, self._walk + self._jumps))
        self.draught.seam = conductance(self.c["seam_m2"] * self.leak)
        self.draught.leak = conductance(self.c["low_leak_m2"] * (0.5 + 0.5 * self.leak))
