"""A light cooker of thin steel, kept for validation: no ceramic to lean on, another law of fire.

One lump of steel that loses by radiation and wind and follows the pit within minutes; pieces that catch
fire from each other and react by Arrhenius' law (fires.PieceFire); a lid that leaks both ways. The wind
is felt three times: on the skin, in the draft, and through the lid's seam as cold air in the pit.
"""

from __future__ import annotations

from typing import Any, ClassVar

from emberdraft.plant.combustion import SIGMA, Fire
from emberdraft.plant.cooker import Cooker
from emberdraft.plant.draught import Draught
from emberdraft.plant.fires import PieceFire
from emberdraft.plant.flow import CP_AIR
from emberdraft.plant.heavy_ceramic import CONSTANTS

NOT_HERE = ("outer_m2", "grasp", "grow_s", "shrink_s", "keep_per_s", "ring_take", "ring_wall_wk", "outer_h")


class ThinSteel(Cooker):
    """See the module."""

    FIRE: ClassVar[type[Fire]] = PieceFire
    CONSTANTS: ClassVar[dict[str, float]] = {
        **{k: v for k, v in CONSTANTS.items() if k not in NOT_HERE},
        "fuel_kg": 3.0,
        "lit_kg": 0.07,
        "light_kg": 0.07,
        "film": 5.0,
        "reaction": 5.0e3,
        "activation_j": 42000.0,
        "ignition_c": 255.0,
        "catch_per_sk": 1.7e-6,
        "shade_s": 500.0,
        "out_s": 900.0,
        "lit_bed_c": 430.0,
        "bed_jk": 1800.0,
        "shell_layers": 1.0,
        "shell_kg": 14.0,  # 1.2 mm steel
        "shell_area_m2": 1.30,
        "shell_k": 45.0,
        "shell_rho": 7850.0,
        "shell_cp": 480.0,
        "inner_h": 13.0,
        "outer_still_h": 5.07,  # convection in still air (Churchill-Chu, 60 degC); radiation is apart
        "outer_h_wind": 3.0,
        "skin_emissivity": 0.85,
        "ring_jk": 2600.0,  # deflector of sheet and grate
        "ring_wk": 8.0,
        "ring_view": 0.4,
        "pit_jk": 500.0,
        "flap_m2": 1.2e-4,
        "seam_m2": 4.0e-4,
        "seam_wind_gps": 0.10,  # cold air blown through the pit a m/s of wind
        "wind_share": 0.15,
        "bed_plume_wk": 0.6,
        "blower_pa": 110.0,
        "blower_gps": 4.6,
    }
    SPREAD: ClassVar[dict[str, tuple[float, float]]] = {
        "shell_kg": (9.0, 24.0),
        "inner_h": (10.0, 17.0),
        "film": (4.2, 6.2),
        "catch_per_sk": (1.4e-6, 2.2e-6),
        "ring_jk": (1600.0, 5000.0),
        "ring_wk": (5.0, 12.0),
        "pit_jk": (300.0, 800.0),
        "blower_pa": (70.0, 220.0),
        "blower_gps": (3.6, 7.5),
        "flap_m2": (0.7e-4, 1.8e-4),
        "seam_m2": (2.0e-4, 7.0e-4),
        "wind_share": (0.08, 0.22),
        "uneven": (0.05, 0.14),
        "fuel_kg": (2.2, 4.2),
    }

    def __init__(self, seed: int = 0, **overrides: float) -> None:
        super().__init__(seed, **overrides)
        self.draught = Draught(self.c)
        self._inner_wk = self.c["inner_h"] * self.c["shell_area_m2"]
        self._stone_wk = self.c["stone_h"] * self.c["stone_area_m2"]

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Advance `dt_s` (0.25 to 5 s) under `u`; see contract.py."""
        self.now_s += dt_s
        if self.now_s >= self._uneven_at_s:
            self._roughen()
        air = self.draught.flow(u, self.pit_c, self.bed, self.c["height_m"])
        self.bed.burn(dt_s, air)
        self._exchange(dt_s, air, u)
        return self._output(air)

    def _exchange(self, dt_s: float, air: float, u: dict[str, Any]) -> None:
        """Heat between bed, deflector, gas, skin, stone, food and the weather."""
        c, bed, stone, ambient = self.c, self.bed, self.stone, u["ambient_c"]
        skin, pit_was, ring = self.shell.temp_c[0], self.pit_c, self.ring_c
        fed = self._feed_pieces(dt_s, air)
        hot4 = (bed.temp_c + 273.15) ** 4
        rad = SIGMA * c["bed_rad_m2"]
        to_stone = rad * c["stone_view"] * (hot4 - (stone.under_c + 273.15) ** 4)
        to_ring = rad * c["ring_view"] * (hot4 - (ring + 273.15) ** 4)
        to_skin = rad * (1.0 - c["stone_view"] - c["ring_view"]) * (hot4 - (skin + 273.15) ** 4)
        gas_w = air * CP_AIR * bed.uptake * (bed.temp_c - ambient)
        stirred = c["bed_plume_wk"] * (bed.temp_c - pit_was)
        bed.temp_c += dt_s / c["bed_jk"] * (bed.heat_w - gas_w - stirred - to_stone - to_ring - to_skin)
        blown = (air + c["seam_wind_gps"] * u["wind_mps"]) * CP_AIR
        g_lid = c["lid_wk"] if u["lid_open"] else 0.0
        g_ring, g_skin, g_stone = c["ring_wk"], self._inner_wk, self._stone_wk
        hold = c["pit_jk"] / dt_s
        given = hold * pit_was + gas_w + stirred - fed + (blown + g_lid) * ambient
        given += g_ring * ring + g_skin * skin + g_stone * (stone.under_c + stone.face_c)
        pit = self.pit_c = given / (hold + blown + g_lid + g_ring + g_skin + 2.0 * g_stone)
        face_rad = c["stone_rad_wk"] * (stone.face_c - skin)
        self.ring_c += dt_s / c["ring_jk"] * (to_ring - g_ring * (ring - pit))
        stone.step(dt_s, g_stone * (pit - stone.under_c) + to_stone, g_stone * (pit - stone.face_c) - face_rad)
        lost = self._skin_w(u)
        self.shell.step(dt_s, to_skin + g_skin * (pit - skin) + face_rad, lost)
        rise = c["dome_k_kw"] * 1e-3 * (gas_w + stirred)
        self.dome_c += (pit + rise - self.dome_c) * dt_s / (c["dome_s"] + dt_s)
        self._book(dt_s, air, blown * (pit - ambient), lost, g_lid * (pit - ambient))

    def _skin_w(self, u: dict[str, Any]) -> float:
        """Radiation and convection of the skin to the weather in W."""
        c, skin, ambient = self.c, self.shell.temp_c[0], u["ambient_c"]
        film = (c["outer_still_h"] + c["outer_h_wind"] * u["wind_mps"]) * (skin - ambient)
        glow = SIGMA * c["skin_emissivity"] * ((skin + 273.15) ** 4 - (ambient + 273.15) ** 4)
        loss: float = c["shell_area_m2"] * (film + glow)
        return loss
