"""A heavy ceramic cooker of about 46 cm: thick layered walls, one well-mixed zone, stone over the fire.

Air by the blower and by stack draft through duct, leaks and top vent (flow.py); fire by oxygen and by a
burning surface (combustion.py); the bed radiates to stone and walls and warms the gas; the pit gas warms
walls, stone, food and parts; the walls conduct to the weather. docs/explain/plant.md has the equations.
"""

from __future__ import annotations

from typing import Any, ClassVar

from emberdraft.plant.combustion import SIGMA
from emberdraft.plant.cooker import CP_AIR, Cooker
from emberdraft.plant.flow import AirPath, Blower, conductance, stack_draft_pa

# Sizes are those of a common 46 cm ceramic cooker; constants without a source are chosen so that the
# whole behaves as REFERENCES in docs/explain/plant.md say (charcoal an hour, warm-up, cooling).
CONSTANTS: dict[str, float] = {
    # surroundings and state at the start
    "start_c": 20.0,
    "ambient_ratio": 0.0073,  # kg/kg: 20 degC, 50 %
    # fire
    "fuel_kg": 3.0,
    "lit_kg": 0.042,  # lit at the start, on one side
    "light_kg": 0.042,  # lit by light()
    "lit_bed_c": 440.0,
    "carbon_share": 0.90,  # 29.5 MJ/kg when no CO forms
    "grasp": 4.9,  # sqrt(g/s) per kg lit
    "dark_c": 290.0,
    "dark_width_c": 35.0,
    "grow_s": 760.0,
    "shrink_s": 1300.0,
    "keep_per_s": 3.3e-4,  # kg burnt a second per kg lit that keeps it lit
    "co_least": 0.03,
    "co_rich": 0.20,
    "bed_jk": 1500.0,  # lit charcoal, ash and fire grate
    "bed_rad_m2": 0.030,  # emissivity times area
    "bed_plume_wk": 1.2,  # pit air stirred over the bed
    "uneven": 0.08,
    "uneven_s": 240.0,
    # air
    "blower_pa": 90.0,
    "blower_gps": 3.8,  # free delivery, 6.7 CFM
    "duct_m2": 5.0e-4,
    "flap_m2": 1.2e-4,
    "low_leak_m2": 0.6e-4,
    "seam_m2": 1.8e-4,  # lid gasket
    "vent_m2": 40.0e-4,  # top vent open
    "bed_m2": 18.0e-4,  # the bed's resistance as an opening
    "height_m": 0.60,
    "wind_share": 0.12,  # of the wind's dynamic pressure
    "lid_wk": 34.0,  # loss through the open lid
    "lid_air_gps": 1.4,  # air that falls on the bed past the open lid
    # body
    "shell_kg": 82.0,
    "shell_area_m2": 1.25,
    "shell_k": 1.35,  # fireclay 1.0 to 1.4 W/mK
    "shell_rho": 2200.0,
    "shell_cp": 900.0,
    "shell_layers": 4.0,
    "inner_h": 22.0,
    "outer_h": 14.0,
    "outer_h_wind": 3.5,
    "pit_jk": 700.0,  # air, grate, thin hardware
    "dome_s": 40.0,
    "dome_k_kw": 6.0,  # dome above grate per kW carried up
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
    "food_h": 31.0,  # convection, radiation, and the edges that a slab has not
    "food_wet": 0.6,
    "dry_g_m2": 700.0,
    "dry_floor": 0.12,
    "latent_jg": 2380.0,
    "moist_s": 20.0,
    "part_cp": 870.0,
    "part_wk_kg": 0.45,
}


class HeavyCeramic(Cooker):
    """The reference plant; see the module. `seed` drives how unevenly the lump charcoal burns."""

    CONSTANTS: ClassVar[dict[str, float]] = CONSTANTS
    SPREAD: ClassVar[dict[str, tuple[float, float]]] = {}

    def __init__(self, seed: int = 0, **overrides: float) -> None:
        super().__init__(seed, **overrides)
        c = self.c
        self.path = AirPath()
        self.blower = Blower(c["blower_pa"], c["blower_gps"], c["flap_m2"])
        self._duct = conductance(c["duct_m2"])
        self._leak = conductance(c["low_leak_m2"])
        self._seam = conductance(c["seam_m2"])
        self._vent = conductance(c["vent_m2"])
        self._bed_pass = conductance(c["bed_m2"])
        self._inner_wk = c["inner_h"] * c["shell_area_m2"]
        self._stone_wk = c["stone_h"] * c["stone_area_m2"]

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Advance `dt_s` (0.25 to 5 s) under `u`; see contract.py."""
        self.now_s += dt_s
        if self.now_s >= self._uneven_at_s:
            self._roughen()
        air = self._air(u)
        self.bed.burn(dt_s, air)
        self._exchange(dt_s, air, u)
        return self._output(air)

    def _air(self, u: dict[str, Any]) -> float:
        """Air through the fire in g/s."""
        c, ambient = self.c, u["ambient_c"]
        speed = u["blower"]
        wind = c["wind_share"] * 0.6 * u["wind_mps"] ** 2
        duct = self.blower.duct(self._duct * u["intake"], speed)
        boost = self.blower.boost_pa(speed) + 0.5 * wind
        if u["lid_open"]:
            draft = stack_draft_pa(0.25 * c["height_m"], self.pit_c, ambient)
            flow = self.path.settle(boost, draft, duct, self._leak, self._bed_pass)
            return max(flow, 0.0) + c["lid_air_gps"]
        inside = 0.8 * self.pit_c + 0.2 * self.bed.temp_c
        draft = stack_draft_pa(c["height_m"], inside, ambient) + wind
        hot = ((ambient + 273.15) / (self.pit_c + 273.15)) ** 0.5
        top = (self._vent * u["exhaust"] + self._seam) * hot
        out = top * self._bed_pass / (top * top + self._bed_pass * self._bed_pass) ** 0.5
        return max(self.path.settle(boost, draft, duct, self._leak, out), 0.0)

    def _exchange(self, dt_s: float, air: float, u: dict[str, Any]) -> None:
        """Heat between bed, gas, walls, stone, food and the weather."""
        c, bed, stone, shell = self.c, self.bed, self.stone, self.shell
        ambient, wall, pit_was = u["ambient_c"], shell.temp_c[0], self.pit_c
        fed = self._feed_pieces(dt_s, air, c["ambient_ratio"])
        hot4 = (bed.temp_c + 273.15) ** 4
        rad = SIGMA * c["bed_rad_m2"]
        to_stone = rad * c["stone_view"] * (hot4 - (stone.under_c + 273.15) ** 4)
        to_wall = rad * (1.0 - c["stone_view"]) * (hot4 - (wall + 273.15) ** 4)
        mc = air * CP_AIR
        carried = mc * bed.uptake * (bed.temp_c - ambient)
        plume, g_wall, g_stone = c["bed_plume_wk"], self._inner_wk, self._stone_wk
        stirred = plume * (bed.temp_c - pit_was)
        g_lid = c["lid_wk"] if u["lid_open"] else 0.0
        hold = c["pit_jk"] / dt_s
        given = hold * pit_was + carried + stirred - fed + (mc + g_lid) * ambient
        given += g_wall * wall + g_stone * (stone.under_c + stone.face_c)
        pit = self.pit_c = given / (hold + mc + g_lid + g_wall + 2.0 * g_stone)
        face_rad = c["stone_rad_wk"] * (stone.face_c - wall)
        lost = (c["outer_h"] + c["outer_h_wind"] * u["wind_mps"]) * c["shell_area_m2"] * (shell.temp_c[-1] - ambient)
        bed.temp_c += dt_s / c["bed_jk"] * (bed.heat_w - carried - stirred - to_stone - to_wall)
        under = g_stone * (pit - stone.under_c) + to_stone
        stone.step(dt_s, under, g_stone * (pit - stone.face_c) - face_rad)
        shell.step(dt_s, to_wall + g_wall * (pit - wall) + face_rad, lost)
        rise = c["dome_k_kw"] * 1e-3 * (carried + stirred)
        self.dome_c += (pit + rise - self.dome_c) * dt_s / (c["dome_s"] + dt_s)
        self._book(dt_s, air, mc * (pit - ambient), lost, g_lid * (pit - ambient))
