"""A small, lighter ceramic cooker on damp charcoal: a creeping front, ash, and gas that flares.

Differs from HeavyCeramic in the fire (fires.FrontFire) and in the gas: a starved hot fire fills the room
with carbon monoxide, which burns in a flash when the lid is opened on a hot bed, while the air that falls
in wakes the fire. Charcoal can be put on.
"""

from __future__ import annotations

from typing import Any, ClassVar

from emberdraft.plant.combustion import O2_MASS, Fire
from emberdraft.plant.fires import FrontFire
from emberdraft.plant.heavy_ceramic import CONSTANTS, HeavyCeramic

O2_PER_CO = 31.998 / 2.0 / 28.010  # g/g
FLASH_S = 3.0


class SmallCeramic(HeavyCeramic):
    """See the module; `gas_g` is the carbon monoxide in the room."""

    FIRE: ClassVar[type[Fire]] = FrontFire
    CONSTANTS: ClassVar[dict[str, float]] = {
        **{k: v for k, v in CONSTANTS.items() if k not in ("grow_s", "shrink_s", "keep_per_s")},
        "fuel_kg": 1.6,
        "lit_kg": 0.03,
        "light_kg": 0.03,
        "grasp": 3.2,
        "front": 1.0e-3,
        "least_per_s": 1.6e-4,
        "fade_s": 700.0,
        "ash_kg": 0.0,
        "ash_share": 0.05,
        "ash_clog_kg": 0.045,
        "ash_cover_kg": 0.12,
        "damp_share": 0.12,
        "co_rich": 0.42,
        "bed_jk": 900.0,
        "bed_rad_m2": 0.020,
        "bed_plume_wk": 0.4,
        "bed_m2": 9.0e-4,
        "blower_pa": 60.0,
        "blower_gps": 2.6,
        "duct_m2": 3.5e-4,
        "door_m2": 26.0e-4,
        "flap_m2": 0.9e-4,
        "low_leak_m2": 0.4e-4,
        "seam_m2": 1.0e-4,
        "vent_m2": 22.0e-4,
        "height_m": 0.42,
        "lid_wk": 22.0,
        "shell_kg": 27.0,
        "shell_area_m2": 0.62,
        "outer_m2": 0.85,
        "ring_jk": 3200.0,
        "ring_wk": 11.0,
        "ring_wall_wk": 2.5,
        "pit_jk": 380.0,
        "stone_kg": 2.4,
        "stone_area_m2": 0.055,
        "room_g": 40.0,  # gas in the room
        "flash_c": 380.0,  # bed hot enough to light it
    }
    SPREAD: ClassVar[dict[str, tuple[float, float]]] = {
        "shell_kg": (20.0, 45.0),
        "fuel_kg": (1.2, 2.4),
        "front": (7.5e-4, 1.35e-3),
        "damp_share": (0.03, 0.20),
        "ash_share": (0.02, 0.09),
        "grasp": (2.4, 4.2),
        "blower_pa": (45.0, 140.0),
        "blower_gps": (2.3, 5.0),
        "pit_jk": (250.0, 700.0),
        "outer_m2": (0.65, 1.1),
        "inner_h": (15.0, 26.0),
        "uneven": (0.05, 0.16),
        "wind_share": (0.06, 0.2),
    }

    def __init__(self, seed: int = 0, **overrides: float) -> None:
        super().__init__(seed, **overrides)
        self.gas_g = 0.0
        self.flash_w = 0.0

    def _exchange(self, dt_s: float, air: float, fire_air: float, u: dict[str, Any]) -> None:
        super()._exchange(dt_s, air, fire_air, u)
        self._gather_gas(dt_s, air, u["lid_open"])

    def _gather_gas(self, dt_s: float, air: float, lid_open: bool) -> None:
        """Monoxide gathers while little air sweeps it out; it flashes when air falls on a hot bed."""
        c = self.c
        self.gas_g += self.bed.co_gps * dt_s
        swept = self.gas_g * dt_s * air / (c["room_g"] + dt_s * air)
        burnt = 0.0
        if lid_open and self.bed.temp_c > c["flash_c"]:
            burnt = self.gas_g * dt_s / (FLASH_S + dt_s)
            swept = min(swept, self.gas_g - burnt)
        self.gas_g -= burnt + swept
        self._flash(dt_s, burnt)

    def _flash(self, dt_s: float, burnt_g: float) -> None:
        """The flame warms the pit's gas; its oxygen comes in through the lid."""
        heat_j = burnt_g * O2_PER_CO * 17.69e3  # CO to CO2: 17.69 kJ per gram of oxygen
        self.flash_w = heat_j / dt_s
        self.pit_c += heat_j / self.c["pit_jk"]
        book = self.ledger
        book.released_j += heat_j
        o2 = burnt_g * O2_PER_CO
        book.o2_in_g += o2
        book.o2_used_g += o2
        book.co_g -= burnt_g
        book.air_g += o2 / O2_MASS
