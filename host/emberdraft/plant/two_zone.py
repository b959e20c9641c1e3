"""A ceramic cooker of two zones, kept for validation: the stone sees the fire, the pit does not.

Below a thick plate are the fire, the stone's underside and the base of the shell; above it the grate, the
food, the stone's face and the dome. Gas passes from zone to zone; a share slips along the wall straight
to the top vent and never warms the grate; warm and cold gas also trade places across the gap. Each zone
has its own shell, joined at the rim. The lid is the upper shell: an open lid leaves the fire zone warm.
"""

from __future__ import annotations

from typing import Any, ClassVar

from emberdraft.plant.combustion import SIGMA
from emberdraft.plant.cooker import Cooker
from emberdraft.plant.draught import Draught
from emberdraft.plant.flow import CP_AIR
from emberdraft.plant.heavy_ceramic import CONSTANTS
from emberdraft.plant.shell import Shell


class TwoZone(Cooker):
    """See the module; `fire_zone_c` is the gas below the plate, `ring_c` the plate, `shell` the dome."""

    CONSTANTS: ClassVar[dict[str, float]] = {
        **{k: v for k, v in CONSTANTS.items() if k not in ("ring_take", "ring_wall_wk")},
        "shell_layers": 3.0,
        "shell_kg": 34.0,  # dome
        "shell_area_m2": 0.70,
        "outer_m2": 0.90,
        "base_kg": 42.0,
        "base_area_m2": 0.60,
        "base_outer_m2": 0.75,
        "rim_wk": 1.5,  # dome to base
        "grow_s": 500.0,
        "fire_zone_jk": 260.0,
        "pit_jk": 560.0,
        "slip": 0.30,  # share of the gas that slips past the grate
        "trade_wk": 1.6,  # gas that trades places
        "ring_jk": 5200.0,  # 6 kg plate
        "ring_fire_wk": 3.5,  # plate to the fire zone's gas
        "ring_wk": 6.0,  # plate to the pit
        "ring_view": 0.45,  # share of the bed's radiation on the plate
        "stone_view": 0.16,
        "dome_k_kw": 4.0,
        "bed_plume_wk": 1.0,
    }
    SPREAD: ClassVar[dict[str, tuple[float, float]]] = {
        "shell_kg": (24.0, 45.0),
        "base_kg": (30.0, 52.0),
        "slip": (0.15, 0.45),
        "trade_wk": (0.8, 3.0),
        "ring_jk": (3000.0, 8000.0),
        "ring_wk": (4.0, 9.0),
        "blower_pa": (70.0, 220.0),
        "blower_gps": (3.4, 7.0),
        "grow_s": (400.0, 700.0),
        "shrink_s": (800.0, 2000.0),
        "outer_m2": (0.7, 1.15),
        "flap_m2": (0.8e-4, 2.0e-4),
        "uneven": (0.05, 0.14),
        "fuel_kg": (2.0, 4.0),
        "stone_kg": (3.0, 6.0),
    }

    def __init__(self, seed: int = 0, **overrides: float) -> None:
        super().__init__(seed, **overrides)
        c = self.c
        self.fire_zone_c = c["start_c"]
        self.base = Shell(c["base_kg"], c["base_area_m2"], c["shell_k"], c, c["start_c"])
        self.ledger.start_j = self.stored_j()
        self.draught = Draught(c)
        self._dome_wk = c["inner_h"] * c["shell_area_m2"]
        self._base_wk = c["inner_h"] * c["base_area_m2"]
        self._stone_wk = c["stone_h"] * c["stone_area_m2"]

    def stored_j(self) -> float:
        """Heat held in everything, above 0 degC, in J."""
        if not hasattr(self, "base"):
            return super().stored_j()
        return super().stored_j() + self.base.stored_j() + self.c["fire_zone_jk"] * self.fire_zone_c

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Advance `dt_s` (0.25 to 5 s) under `u`; see contract.py."""
        self.now_s += dt_s
        if self.now_s >= self._uneven_at_s:
            self._roughen()
        air = self.draught.flow(u, 0.5 * (self.pit_c + self.fire_zone_c), self.bed, self.c["height_m"])
        self.bed.burn(dt_s, air)
        self._exchange(dt_s, air, u)
        return self._output(air)

    def _exchange(self, dt_s: float, air: float, u: dict[str, Any]) -> None:
        """Fire zone first, then the pit above it, then everything that conducts."""
        c, stone, ambient = self.c, self.stone, u["ambient_c"]
        dome, base, plate, low_was = self.shell.temp_c[0], self.base.temp_c[0], self.ring_c, self.fire_zone_c
        to_stone, to_plate, to_base, gas_w, stirred = self._fire(dt_s, air, low_was, base, ambient)
        mc, trade, g_stone = air * CP_AIR, c["trade_wk"], self._stone_wk
        hold = c["fire_zone_jk"] / dt_s
        g_plate = c["ring_fire_wk"]
        given = hold * low_was + mc * ambient + gas_w + stirred
        given += g_plate * plate + self._base_wk * base + g_stone * stone.under_c + trade * self.pit_c
        low = given / (hold + mc + g_plate + self._base_wk + g_stone + trade)
        traded = trade * (low - self.pit_c)
        self.fire_zone_c = low
        pit, slipped_w, lid_w = self._pit(dt_s, air, low, traded, dome, u)
        face_rad = c["stone_rad_wk"] * (stone.face_c - dome)
        rim = c["rim_wk"] * (base - dome)
        low_lost = self._outside_w(self.base, c["base_outer_m2"], u)
        lost = self._outside_w(self.shell, c["outer_m2"], u)
        self.ring_c += dt_s / c["ring_jk"] * (to_plate + g_plate * (low - plate) - c["ring_wk"] * (plate - pit))
        self.base.step(dt_s, to_base + self._base_wk * (low - base) - rim, low_lost)
        self.shell.step(dt_s, self._dome_wk * (pit - dome) + face_rad + rim, lost)
        stone.step(dt_s, to_stone + g_stone * (low - stone.under_c), g_stone * (pit - stone.face_c) - face_rad)
        self._book(dt_s, air, slipped_w + mc * (1.0 - c["slip"]) * (pit - ambient), lost + low_lost, lid_w)

    def _fire(
        self, dt_s: float, air: float, low: float, base: float, ambient: float
    ) -> tuple[float, float, float, float, float]:
        """The bed's heat in W to stone, plate, base, and into the fire zone's gas by flow and by stirring."""
        c, bed = self.c, self.bed
        hot4 = (bed.temp_c + 273.15) ** 4
        rad = SIGMA * c["bed_rad_m2"]
        to_stone = rad * c["stone_view"] * (hot4 - (self.stone.under_c + 273.15) ** 4)
        to_plate = rad * c["ring_view"] * (hot4 - (self.ring_c + 273.15) ** 4)
        to_base = rad * (1.0 - c["stone_view"] - c["ring_view"]) * (hot4 - (base + 273.15) ** 4)
        gas_w = air * CP_AIR * bed.uptake * (bed.temp_c - ambient)
        stirred = c["bed_plume_wk"] * (bed.temp_c - low)
        bed.temp_c += dt_s / c["bed_jk"] * (bed.heat_w - gas_w - stirred - to_stone - to_plate - to_base)
        return to_stone, to_plate, to_base, gas_w, stirred

    def _pit(
        self, dt_s: float, air: float, low: float, traded: float, dome: float, u: dict[str, Any]
    ) -> tuple[float, float, float]:
        """The gas above the plate: its temperature, and in W what slips past and what the open lid takes."""
        c, ambient, plate = self.c, u["ambient_c"], self.ring_c
        fed = self._feed_pieces(dt_s, air)
        mc = air * CP_AIR
        through = mc * (1.0 - c["slip"])
        g_lid = c["lid_wk"] if u["lid_open"] else 0.0
        hold = c["pit_jk"] / dt_s
        given = hold * self.pit_c + through * low + traded - fed + g_lid * ambient
        given += c["ring_wk"] * plate + self._dome_wk * dome + self._stone_wk * self.stone.face_c
        pit = given / (hold + through + g_lid + c["ring_wk"] + self._dome_wk + self._stone_wk)
        self.pit_c = pit
        slipped_w = mc * c["slip"] * (low - ambient)
        rise = c["dome_k_kw"] * 1e-3 * mc * c["slip"] * (low - pit) + c["slip"] * 0.15 * (low - pit)
        self.dome_c += (pit + rise - self.dome_c) * dt_s / (c["dome_s"] + dt_s)
        return pit, slipped_w, g_lid * (pit - ambient)

    def _outside_w(self, shell: Shell, area_m2: float, u: dict[str, Any]) -> float:
        """Loss of a shell's outer face to the weather in W."""
        film = self.c["outer_h"] + self.c["outer_h_wind"] * u["wind_mps"]
        loss: float = film * area_m2 * (shell.temp_c[-1] - u["ambient_c"])
        return loss
