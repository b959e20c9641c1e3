"""The six hearths: what sets each apart, and the class that the bench builds."""

from __future__ import annotations

import math
import os
from typing import Any, ClassVar

import numpy as np
from scipy.signal import lfilter

from tests.bench_suite.compiled import compiled

from . import fire, flow, heat, places
from . import places as at

KELVIN = 273.15
LONGEST_S = 12 * 3600

BASE: dict[str, float] = {
    "cg": 160.0, "vol": 0.065, "ca": 20e3, "cfb": 13e3, "frad": 0.40, "f_fb": 0.50, "f_df": 0.33, "f_st": 0.05,
    "f_w": 0.12, "beta": 0.22, "ea": 9000.0, "kmt": 0.8, "tn": 905.0, "rg": 1 / 560.0, "rd": 1 / 1300.0, "ug": 0.018,
    "am": 0.105, "wm": 0.06, "cmax": 0.46, "kst": 5.0, "dh": 13.1e6, "eta0": 0.96, "eta1": 0.35, "nu0": 0.47,
    "nu1": 0.22, "ash_f": 4.0, "ash_s": 2.0, "a_in": 1.2e-3, "a_ll": 2.5e-5, "a_lid": 4.0e-5, "a_ex": 2.6e-3,
    "a_bed": 2.5e-3, "h1": 0.25, "h2": 0.25, "p0": 75.0, "kb": 75.0 / 6.0e-3**2, "dmin": 0.12, "tfan": 1.5,
    "cwlo": 0.10, "cwseal": -0.10, "dmprate": 0.15, "nw": 8, "aw": 1.25, "hin": 10.0, "hinm": 800.0, "hext0": 7.5,
    "hextw": 2.5, "emis": 0.88, "cst": 4500.0, "gst": 24.0, "ast": 0.095, "hst": 9.0, "f_stw": 0.85, "gsb": 14.0,
    "cdf": 2400.0, "gdg": 7.0, "gds": 0.03, "epx": 0.65, "tmix": 25.0, "taub": 60.0, "cgr": 1300.0, "ggr": 5.0,
    "gfg": 3.0, "gfw": 3.0, "gfs": 0.005, "rc": 0.008, "lidg": 45.0, "lidtop": 0.06, "lidw": 4.0, "pv": 3000.0,
    "evap": 0.25, "hfood": 21.0, "zs": 0.10,
    # what the constants of the equations are made of, and how the cook begins
    "shell_kg": 68.0, "shell_cp": 950.0, "thick": 0.028, "kwall": 1.05,
    "fuel_kg": 3.0, "lit0": 0.007, "tfire0": 1020.0, "noise_tau": 240.0, "wind_base": 0.7, "ambient": 20.0,
}  # fmt: skip
SPREAD = ("a_ll", "a_lid", "p0", "beta", "rg", "shell_kg", "hin", "hext0", "lit0")
SEED_SHARE, DRAW_SHARE = 0.06, 0.25


class Hearth:
    """A cooker of the bench's contract; `seed` 0 is nominal, others spread nine constants by 6 %."""

    APART: ClassVar[dict[str, float]] = {}

    def __init__(self, seed: int = 0, **overrides: float) -> None:
        c = {**BASE, **self.APART, **overrides}
        chance = np.random.RandomState(30011 * seed + 5)
        if seed:
            for name in SPREAD:
                if name not in overrides:
                    c[name] *= float(np.exp(chance.normal(0, SEED_SHARE)))
        c["cw"] = c["shell_kg"] * c["shell_cp"]
        # Between the shell's nodes, held to what the explicit step bears (thin steel only).
        between = c["kwall"] * c["aw"] * 1.06 / (c["thick"] / int(c["nw"]))
        c["gw"] = min(between, 0.2 * c["cw"] / int(c["nw"]))
        self.c = c
        row = [float(c[name]) for name in places.CONSTANTS]
        self.p: Any = np.array(row) if JIT else row
        self.s: Any = np.array(self._begin()) if JIT else self._begin()
        self._mood = self._moods(chance)
        self._k = 0
        self._slots: list[int | None] = []
        self._at_first_j = heat.stored_j(self.s, self.p)

    def _begin(self) -> list[float]:
        c, s = self.c, [0.0] * at.STATES
        ambient_k = c["ambient"] + KELVIN
        cold = (at.S_GAS, at.S_STONE0, at.S_STONE1, at.S_STONE2, at.S_GRATE, at.S_PIT, at.S_DOME)
        for place in (*cold, *range(at.S_WALL, at.S_WALL + int(c["nw"]))):
            s[place] = ambient_k
        s[at.S_FIRE], s[at.S_AREA], s[at.S_FUEL] = c["tfire0"], c["lit0"], c["fuel_kg"]
        s[at.S_BOX] = s[at.S_BAFFLE] = ambient_k + 25.0
        s[at.S_O2] = fire.O2_MASS
        return s

    def _moods(self, chance: np.random.RandomState) -> np.ndarray:
        """An Ornstein-Uhlenbeck process at 1 s, as a factor of mean 1."""
        keep, size = math.exp(-1.0 / self.c["noise_tau"]), self.c["zs"]
        push = chance.normal(0, math.sqrt(1 - keep * keep), LONGEST_S)
        return np.exp(size * lfilter([1.0], [1.0, -keep], push) - 0.5 * size**2)

    @classmethod
    def draw(cls, number: int) -> dict[str, float]:
        """Overrides of a wide draw."""
        c, chance = {**BASE, **cls.APART}, np.random.RandomState(977 * number + 3)
        return {name: float(c[name] * np.exp(chance.normal(0, DRAW_SHARE))) for name in SPREAD}

    def add_food(self, mass_kg: float, thickness_m: float, initial_c: float) -> int:
        """Put a piece on: half slabs of 1060 kg/m3, 3500 J/(kg K), 0.46 W/(m K)."""
        s = self.s
        free = [j for j in range(at.FOODS) if s[at.S_FOOD + j * at.FOOD_ROW] < 0.5]
        if not free:
            raise ValueError("no place left for food")
        b = at.S_FOOD + free[0] * at.FOOD_ROW
        area_m2 = 2.0 * mass_kg / (1060.0 * thickness_m)
        node_m = 0.5 * thickness_m / (at.FOOD_NODES - 1)
        node_jk = mass_kg * 3500.0 / (at.FOOD_NODES - 1)
        s[b], s[b + 1], s[b + 2], s[b + 3], s[b + 4] = 1.0, node_jk, area_m2, 0.46 * area_m2 / node_m, 1.0
        for k in range(at.FOOD_NODES):
            s[b + 6 + k] = initial_c + KELVIN
        s[at.S_BROUGHT] += heat.food_j(s, b)
        self._slots.append(free[0])
        return len(self._slots) - 1

    def remove_food(self, index: int) -> None:
        """Take a piece out; its place in the lists stays."""
        slot = self._slots[index]
        if slot is not None:
            b = at.S_FOOD + slot * at.FOOD_ROW
            self.s[at.S_BROUGHT] -= heat.food_j(self.s, b)
            self.s[b] = 0.0
            self._slots[index] = None

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Advance under `u`, a second at a time at most."""
        parts = max(1, math.ceil(dt_s - 1e-9))
        blower, intake, exhaust = (min(1.0, max(0.0, float(u[name]))) for name in ("blower", "intake", "exhaust"))
        lid, ambient_k, wind_mps = float(u["lid_open"]), float(u["ambient_c"]) + KELVIN, float(u["wind_mps"])
        for _ in range(parts):
            mood = float(self._mood[min(self._k, LONGEST_S - 1)])
            step(self.s, self.p, blower, intake, exhaust, lid, ambient_k, wind_mps, mood, dt_s / parts)
            self._k += 1
        return self._outputs()

    def _outputs(self) -> dict[str, Any]:
        s, n = self.s, int(self.c["nw"])
        rows = [None if slot is None else at.S_FOOD + slot * at.FOOD_ROW + 6 for slot in self._slots]
        return {
            "pit_c": float(s[at.S_PIT] - KELVIN),
            "dome_c": float(s[at.S_DOME] - KELVIN),
            "wall_c": float(sum(s[at.S_WALL : at.S_WALL + n]) / n - KELVIN),
            "stone_c": float(s[at.S_STONE2] - KELVIN),
            "core_c": [None if b is None else float(s[b + at.FOOD_NODES - 1] - KELVIN) for b in rows],
            "surface_c": [None if b is None else float(s[b] - KELVIN) for b in rows],
            "fuel_kg": float(s[at.S_FUEL]),
            "o2": float(0.2095 * s[at.S_O2] / fire.O2_MASS),
            "airflow_gps": float(1000.0 * s[at.S_AIR]),
        }

    def missing_share(self) -> float:
        """What the energy books cannot account for, as a share of what the fire released."""
        gained = heat.stored_j(self.s, self.p) - self._at_first_j - self.s[at.S_BROUGHT]
        return abs(self.s[at.S_RELEASED] - self.s[at.S_LEFT] - gained) / max(1.0, self.s[at.S_RELEASED])


class Medium(Hearth):
    """A medium ceramic cooker, 68 kg of shell."""


class Large(Hearth):
    """A large ceramic cooker with a leaky seal, 108 kg."""

    APART: ClassVar[dict[str, float]] = {
        "vol": 0.13, "cg": 280.0, "aw": 1.75, "shell_kg": 108.0, "thick": 0.030, "a_lid": 2.0e-4, "a_ll": 6.0e-5,
        "a_ex": 3.4e-3, "a_in": 1.4e-3, "p0": 80.0, "kb": 80.0 / 7.0e-3**2, "cst": 6500.0, "ast": 0.14, "gst": 35.0,
        "cfb": 20e3, "lit0": 0.010, "fuel_kg": 4.5, "lidg": 70.0, "gfg": 4.0, "gfw": 4.0, "cdf": 4000.0, "gdg": 10.0,
        "gds": 0.045, "tmix": 45.0, "taub": 75.0, "h1": 0.30, "h2": 0.30, "cgr": 2200.0, "ggr": 7.0,
    }  # fmt: skip


class Thin(Hearth):
    """A thin steel bowl."""

    APART: ClassVar[dict[str, float]] = {
        "vol": 0.075, "cg": 150.0, "aw": 1.05, "shell_kg": 7.5, "shell_cp": 490.0, "thick": 0.001, "kwall": 45.0,
        "nw": 2, "a_lid": 1.2e-4, "a_ll": 5.0e-5, "cfb": 8e3, "cdf": 1500.0, "tmix": 20.0, "taub": 45.0, "emis": 0.85,
        "hext0": 5.5, "hextw": 3.5, "cst": 3800.0, "fuel_kg": 2.5, "lidg": 55.0, "h1": 0.2, "a_ex": 2.0e-3,
        "wind_base": 0.9,
    }  # fmt: skip


class Small(Hearth):
    """A small ceramic cooker whose strong blower stalls above the duty that holding takes."""

    APART: ClassVar[dict[str, float]] = {
        "vol": 0.030, "cg": 80.0, "aw": 0.80, "shell_kg": 42.0, "p0": 150.0, "kb": 150.0 / 9.0e-3**2, "dmin": 0.15,
        "a_in": 1.0e-3, "a_ex": 1.8e-3, "a_ll": 1.5e-5, "a_lid": 2.0e-5, "cfb": 8e3, "cst": 2400.0, "ast": 0.055,
        "gst": 14.0, "fuel_kg": 1.6, "lidg": 25.0, "gfg": 2.0, "gfw": 1.8, "cdf": 1300.0, "gdg": 4.2, "gds": 0.018,
        "tmix": 15.0, "taub": 40.0, "h1": 0.17, "h2": 0.18, "cgr": 700.0, "ggr": 2.8, "lit0": 0.0045,
    }  # fmt: skip


class Damp(Hearth):
    """Damp charcoal, a slow fire, a fire of moods."""

    APART: ClassVar[dict[str, float]] = {
        "wm": 0.17, "ug": 0.014, "taub": 100.0, "beta": 0.18, "rg": 1 / 850.0, "lit0": 0.006, "tfire0": 1000.0,
        "zs": 0.18, "noise_tau": 180.0, "wind_base": 3.0, "dmin": 0.15, "cwlo": 0.14, "eta0": 0.92,
    }  # fmt: skip


class WeakBlower(Hearth):
    """A heavier shell with a weaker blower."""

    APART: ClassVar[dict[str, float]] = {"cst": 5000.0, "p0": 60.0, "kb": 60.0 / 5.0e-3**2, "shell_kg": 75.0}


JIT = os.environ.get("HEARTHS_JIT") == "1"
step = compiled(flow, fire, heat)["step"] if JIT else heat.step
