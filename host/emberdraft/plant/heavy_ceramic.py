"""A heavy ceramic cooker of about 46 cm: thick layered walls, one well-mixed zone, stone over the fire.

Air by the blower and by stack draft through duct, leaks and top vent (flow.py); fire by oxygen and by a
burning surface (combustion.py); the bed radiates to stone and walls and warms the gas; the pit gas warms
walls, stone, food and parts; the walls conduct to the weather. docs/explain/plant.md has the equations.
"""

from __future__ import annotations

from typing import Any, ClassVar

from emberdraft.plant.combustion import SIGMA
from emberdraft.plant.cooker import Cooker
from emberdraft.plant.draught import Draught
from emberdraft.plant.flow import CP_AIR
from emberdraft.plant.moist import LATENT_J_G

# Sizes are those of a common 46 cm ceramic cooker; constants without a source are chosen so that the
# whole behaves as docs/explain/plant.md says (charcoal an hour, warm-up, cooling).
CONSTANTS: dict[str, float] = {
    # surroundings and state at the start
    "start_c": 20.0,
    "ambient_ratio": 0.0073,  # kg/kg: 20 degC, 50 %
    # fire
    "fuel_kg": 3.0,
    "lit_kg": 0.042,  # lit at the start, on one side
    "light_kg": 0.042,  # lit by light()
    "lit_bed_c": 400.0,
    "carbon_share": 0.90,  # 29.5 MJ/kg when no CO forms
    "grasp": 4.8,  # sqrt(g/s) per kg lit
    "dark_c": 250.0,
    "dark_width_c": 35.0,
    "grow_s": 640.0,
    "shrink_s": 1300.0,
    "keep_per_s": 3.3e-4,  # kg burnt a second per kg lit that keeps it lit
    "co_least": 0.03,
    "co_rich": 0.20,
    "bed_jk": 1800.0,  # lit charcoal, ash and fire grate
    "bed_rad_m2": 0.030,  # emissivity times area
    "bed_plume_wk": 0.6,  # pit air stirred over the bed
    "uneven": 0.08,
    "uneven_s": 240.0,
    # air
    "blower_pa": 90.0,
    "blower_gps": 3.8,  # free delivery, 6.7 CFM
    "duct_m2": 5.0e-4,  # the blower's
    "door_m2": 45.0e-4,  # bottom vent where no blower is fitted (blower_pa 0)
    "flap_m2": 1.7e-4,
    "low_leak_m2": 0.7e-4,
    "seam_m2": 1.8e-4,  # lid gasket
    "vent_m2": 40.0e-4,  # top vent open
    "bed_m2": 18.0e-4,  # the bed's resistance as an opening
    "height_m": 0.60,
    "wind_share": 0.12,  # of the wind's dynamic pressure
    "lid_wk": 34.0,  # loss through the open lid
    "lid_air_gps": 1.4,  # air that falls on the bed past the open lid
    # body
    "shell_kg": 76.0,
    "shell_area_m2": 1.45,
    "shell_k": 1.4,  # fireclay 1.0 to 1.4 W/mK
    "shell_rho": 2200.0,
    "shell_cp": 900.0,
    "shell_layers": 4.0,
    "inner_h": 22.0,
    "outer_m2": 1.80,  # 0.56 m across, 0.75 m high, with top and bottom
    "outer_h": 11.4,  # still air at 60 degC: 5.07 convection (Churchill-Chu, 0.4 m plate) and 6.29 radiation
    "outer_h_wind": 3.5,
    "ring_jk": 7000.0,  # 8 kg of fire box, ring and deflector
    "ring_wk": 20.0,  # ring to pit
    "ring_wall_wk": 4.0,
    "ring_take": 0.75,  # share of the gas's heat that the ring takes on the way up
    "pit_jk": 700.0,  # air, grate, thin hardware
    "probe_up": 0.0,  # where the pit probe is: 0 at the grate, 1 in the dome
    "dome_s": 40.0,
    "dome_k_kw": 15.0,  # dome above grate per kW carried up
    # stone, cordierite
    "stone_kg": 4.0,
    "stone_area_m2": 0.085,
    "stone_rho": 2000.0,
    "stone_cp": 900.0,
    "stone_k": 1.8,
    "stone_view": 0.20,  # share of the bed's radiation that meets the stone
    "stone_h": 12.0,
    "stone_rad_wk": 0.5,  # face to dome wall
    # food and parts
    "food_h": 33.0,  # convection, radiation, and the edges that a slab has not
    "contact_h": 240.0,  # stone to food: moist contact and half a layer of stone in series
    "food_wet": 0.6,
    "dry_g_m2": 700.0,
    "dry_floor": 0.12,
    "moist_s": 20.0,
    "part_cp": 870.0,
    "part_wk_kg": 0.45,
}


class HeavyCeramic(Cooker):
    """The reference plant; see the module. `seed` drives how unevenly the lump charcoal burns."""

    CONSTANTS: ClassVar[dict[str, float]] = CONSTANTS
    SPREAD: ClassVar[dict[str, tuple[float, float]]] = {
        "shell_kg": (55.0, 85.0),
        "shell_k": (0.9, 1.6),
        "inner_h": (16.0, 28.0),
        "outer_m2": (1.3, 2.2),
        "fuel_kg": (2.0, 4.2),
        "grasp": (4.0, 5.8),
        "grow_s": (420.0, 800.0),
        "shrink_s": (800.0, 2000.0),
        "keep_per_s": (2.6e-4, 3.8e-4),
        "bed_jk": (1200.0, 2600.0),
        "ring_take": (0.5, 0.85),
        "blower_pa": (70.0, 220.0),
        "blower_gps": (3.3, 7.5),
        "flap_m2": (0.7e-4, 2.2e-4),
        "seam_m2": (1.0e-4, 3.5e-4),
        "wind_share": (0.06, 0.2),
        "pit_jk": (450.0, 1100.0),
        "uneven": (0.04, 0.14),
        "stone_kg": (3.0, 6.5),
    }

    def __init__(self, seed: int = 0, **overrides: float) -> None:
        super().__init__(seed, **overrides)
        c = self.c
        self.draught = Draught(c)
        self._inner_wk = c["inner_h"] * c["shell_area_m2"]
        self._stone_wk = c["stone_h"] * c["stone_area_m2"]

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Advance `dt_s` (0.25 to 5 s) under `u`; see contract.py."""
        self.now_s += dt_s
        if self.now_s >= self._uneven_at_s:
            self._roughen()
        air = self.draught.flow(u, self.pit_c, self.bed, self.c["height_m"])
        past_bed = self._past_bed(air)
        self.bed.burn(dt_s, air - past_bed)
        self._exchange(dt_s, air, air - past_bed, u)
        return self._output(air)

    def _past_bed(self, air: float) -> float:
        """Air in g/s that reaches the pit without passing the fire."""
        return 0.0

    def _exchange(self, dt_s: float, air: float, fire_air: float, u: dict[str, Any]) -> None:
        """Heat between bed, gas, walls, stone, food and the weather."""
        c, bed, stone, shell = self.c, self.bed, self.stone, self.shell
        ambient, wall, pit_was, ring = u["ambient_c"], shell.temp_c[0], self.pit_c, self.ring_c
        fed = self._feed_pieces(dt_s, air)
        hot4 = (bed.temp_c + 273.15) ** 4
        rad = SIGMA * c["bed_rad_m2"]
        to_stone = rad * c["stone_view"] * (hot4 - (stone.under_c + 273.15) ** 4)
        to_ring = rad * (1.0 - c["stone_view"]) * (hot4 - (ring + 273.15) ** 4)
        gas_w = fire_air * CP_AIR * bed.uptake * (bed.temp_c - ambient)
        left_w = c["ring_take"] * (gas_w - fire_air * CP_AIR * (ring - ambient))  # to the ring on the way up
        stirred = c["bed_plume_wk"] * (bed.temp_c - pit_was)
        bed.temp_c += dt_s / c["bed_jk"] * (bed.heat_w - gas_w - stirred - to_stone - to_ring - self._drying_w())
        mc, g_wall, g_stone, g_ring = air * CP_AIR, self._inner_wk, self._stone_wk, c["ring_wk"]
        g_lid = c["lid_wk"] if u["lid_open"] else 0.0
        hold = c["pit_jk"] / dt_s
        given = hold * pit_was + gas_w - left_w + stirred - fed + (mc + g_lid) * ambient
        given += g_wall * wall + g_ring * ring + g_stone * (stone.under_c + stone.face_c)
        pit = self.pit_c = given / (hold + mc + g_lid + g_wall + g_ring + 2.0 * g_stone)
        face_rad = c["stone_rad_wk"] * (stone.face_c - wall)
        ring_wall = c["ring_wall_wk"] * (ring - wall)
        self.ring_c += dt_s / c["ring_jk"] * (to_ring + left_w - g_ring * (ring - pit) - ring_wall)
        stone.step(dt_s, g_stone * (pit - stone.under_c) + to_stone, g_stone * (pit - stone.face_c) - face_rad)
        lost = self._lost_w(u)
        shell.step(dt_s, ring_wall + g_wall * (pit - wall) + face_rad, lost)
        rise = c["dome_k_kw"] * 1e-3 * (gas_w - left_w + stirred)
        self.dome_c += (pit + rise - self.dome_c) * dt_s / (c["dome_s"] + dt_s)
        self._book(dt_s, air, mc * (pit - ambient), lost, g_lid * (pit - ambient))

    def _drying_w(self) -> float:
        """Heat that boils the water out of damp charcoal, in W."""
        return self.bed.water_gps * LATENT_J_G

    def _lost_w(self, u: dict[str, Any]) -> float:
        """Heat from the outer face to the weather, in W."""
        c = self.c
        film = c["outer_h"] + c["outer_h_wind"] * u["wind_mps"]
        loss: float = film * c["outer_m2"] * (self.shell.temp_c[-1] - u["ambient_c"])
        return loss
