"""A closed chamber over a long winding flue: what the air does now the pit feels minutes later.

One zone with transport delay. The fire's gas goes through a serpentine under the chamber and then to the
flue, only a small share through the chamber; the heat it gives up arrives after the serpentine's delay (a
line of equal cells, so that it arrives a little smeared), and then has to pass a floor of brick in layers.
The stone lies on the floor. Line and floor are a hot store on arrival: this is the cooker on which a
hasty controller overshoots most.
"""

from __future__ import annotations

from typing import Any, ClassVar

from emberdraft.plant.combustion import SIGMA
from emberdraft.plant.cooker import Cooker
from emberdraft.plant.draught import Draught
from emberdraft.plant.flow import CP_AIR
from emberdraft.plant.heavy_ceramic import CONSTANTS
from emberdraft.plant.shell import Shell

CELLS = 10
NOT_HERE = ("ring_take", "ring_wall_wk", "ring_wk", "stone_rad_wk", "stone_view", "bed_plume_wk")


class Muffle(Cooker):
    """See the module; `floor` are the brick's layers, `ring_c` the fire box's lining, `box_c` its gas."""

    CONSTANTS: ClassVar[dict[str, float]] = {
        **{k: v for k, v in CONSTANTS.items() if k not in NOT_HERE},
        "floor_layers": 3.0,
        "line_s": 150.0,  # delay of the serpentine
        "floor_m": 0.012,
        "floor_area_m2": 0.22,
        "floor_k": 1.4,
        "floor_rho": 2100.0,
        "floor_cp": 950.0,
        "floor_view": 0.60,  # share of the bed's radiation on the floor
        "floor_under_wk": 7.0,  # box gas to the floor
        "floor_wk": 5.0,  # floor to pit, convection; radiation to the walls is apart
        "floor_rad_m2": 0.16,  # emissivity times area, floor to walls
        "stone_on_wk": 5.0,  # floor to the stone on it
        "through": 0.05,  # share of the gas that leaks through the chamber
        "box_jk": 120.0,
        "box_lining_wk": 6.0,
        "lining_loss_wk": 1.0,
        "ring_jk": 6000.0,
        "bed_rad_m2": 0.036,
        "shell_layers": 2.0,
        "shell_kg": 30.0,
        "shell_area_m2": 0.80,
        "shell_k": 1.0,
        "inner_h": 15.0,
        "outer_m2": 0.90,
        "pit_jk": 500.0,
        "lid_wk": 24.0,
        "height_m": 0.8,
        "vent_m2": 30.0e-4,
        "flap_m2": 1.2e-4,
        "blower_pa": 120.0,
        "blower_gps": 4.6,
        "stone_kg": 3.5,
    }
    SPREAD: ClassVar[dict[str, tuple[float, float]]] = {
        "line_s": (80.0, 260.0),
        "floor_m": (0.009, 0.016),
        "floor_k": (1.1, 1.7),
        "through": (0.02, 0.10),
        "shell_kg": (22.0, 42.0),
        "inner_h": (11.0, 19.0),
        "outer_m2": (0.7, 1.1),
        "blower_pa": (90.0, 220.0),
        "blower_gps": (4.0, 7.0),
        "flap_m2": (0.7e-4, 1.5e-4),
        "grow_s": (400.0, 700.0),
        "shrink_s": (800.0, 1800.0),
        "uneven": (0.04, 0.12),
        "fuel_kg": (2.4, 4.2),
    }

    def __init__(self, seed: int = 0, **overrides: float) -> None:
        super().__init__(seed, **overrides)
        c = self.c
        self.box_c = c["start_c"]
        self.line_j = [0.0] * CELLS  # heat under way in the serpentine
        made = {"shell_layers": c["floor_layers"], "shell_rho": c["floor_rho"], "shell_cp": c["floor_cp"]}
        mass_kg = c["floor_m"] * c["floor_area_m2"] * c["floor_rho"]
        self.floor = Shell(mass_kg, c["floor_area_m2"], c["floor_k"], made, c["start_c"])
        self.ledger.start_j = self.stored_j()
        self.draught = Draught(c)
        self._inner_wk = c["inner_h"] * c["shell_area_m2"]
        self._stone_wk = c["stone_h"] * c["stone_area_m2"]

    def stored_j(self) -> float:
        """Heat held in everything, above 0 degC, in J."""
        if not hasattr(self, "floor"):
            return super().stored_j()
        return super().stored_j() + self.floor.stored_j() + self.c["box_jk"] * self.box_c + sum(self.line_j)

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Advance `dt_s` (0.25 to 5 s) under `u`; see contract.py."""
        self.now_s += dt_s
        if self.now_s >= self._uneven_at_s:
            self._roughen()
        air = self.draught.flow(u, min(self.box_c, 400.0), self.bed, self.c["height_m"])
        self.bed.burn(dt_s, air)
        given_w, lining_w = self._fire_box(dt_s, air, u["ambient_c"])
        self._pit(dt_s, air, self._late(dt_s, given_w), lining_w, u)
        return self._output(air)

    def _fire_box(self, dt_s: float, air: float, ambient: float) -> tuple[float, float]:
        """Burn in the box: heat in W given up under the floor, and through the lining to the weather."""
        c, bed, lining, under = self.c, self.bed, self.ring_c, self.floor.temp_c[0]
        hot4 = (bed.temp_c + 273.15) ** 4
        rad = SIGMA * c["bed_rad_m2"]
        to_floor = rad * c["floor_view"] * (hot4 - (under + 273.15) ** 4)
        to_lining = rad * (1.0 - c["floor_view"]) * (hot4 - (lining + 273.15) ** 4)
        mc = air * CP_AIR
        gas_w = mc * bed.uptake * (bed.temp_c - ambient)
        hold, g_floor, g_lining = c["box_jk"] / dt_s, c["floor_under_wk"], c["box_lining_wk"]
        given = hold * self.box_c + mc * ambient + gas_w + g_floor * under + g_lining * lining
        box = self.box_c = given / (hold + mc + g_floor + g_lining)
        lining_w = c["lining_loss_wk"] * (lining - ambient)
        bed.temp_c += dt_s / c["bed_jk"] * (bed.heat_w - gas_w - to_floor - to_lining)
        self.ring_c += dt_s / c["ring_jk"] * (to_lining + g_lining * (box - lining) - lining_w)
        return to_floor + g_floor * (box - under), lining_w

    def _late(self, dt_s: float, given_w: float) -> float:
        """Heat in W that leaves the serpentine now: what was given `line_s` ago, smeared by its cells."""
        line = self.line_j
        share = CELLS * dt_s / self.c["line_s"]
        keep = 1.0 / (1.0 + share)  # implicit: stable for any step
        passed = given_w * dt_s
        for i in range(CELLS):
            held = (line[i] + passed) * keep
            passed = line[i] + passed - held
            line[i] = held
        return passed / dt_s

    def _pit(self, dt_s: float, air: float, under_w: float, lining_w: float, u: dict[str, Any]) -> None:
        """The chamber on its floor: gas, stone, walls and loss."""
        c, shell, stone, ambient = self.c, self.shell, self.stone, u["ambient_c"]
        wall, top, mc = shell.temp_c[0], self.floor.temp_c[-1], air * CP_AIR
        fed = self._feed_pieces(dt_s, air)
        through = mc * c["through"]
        g_lid = c["lid_wk"] if u["lid_open"] else 0.0
        g_floor, g_face = c["floor_wk"], self._stone_wk
        hold = c["pit_jk"] / dt_s
        given = hold * self.pit_c + through * self.box_c + g_floor * top + self._inner_wk * wall + g_lid * ambient
        given += g_face * stone.face_c - fed
        pit = self.pit_c = given / (hold + through + g_floor + self._inner_wk + g_lid + g_face)
        to_stone = c["stone_on_wk"] * (top - stone.under_c)
        glow = SIGMA * c["floor_rad_m2"] * ((top + 273.15) ** 4 - (wall + 273.15) ** 4)
        self.floor.step(dt_s, under_w, g_floor * (top - pit) + to_stone + glow)
        stone.step(dt_s, to_stone, g_face * (pit - stone.face_c))
        film = c["outer_h"] + c["outer_h_wind"] * u["wind_mps"]
        lost = film * c["outer_m2"] * (shell.temp_c[-1] - ambient)
        shell.step(dt_s, self._inner_wk * (pit - wall) + glow, lost)
        self.dome_c += (pit - self.dome_c) * dt_s / (c["dome_s"] + dt_s)
        flue_w = (mc - through) * (self.box_c - ambient) + through * (pit - ambient)
        self._book(dt_s, air, flue_w, lost + lining_w, g_lid * (pit - ambient))
