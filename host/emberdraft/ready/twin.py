"""The twin: a small model of a cooker, many guesses of its constants side by side.

Air by orifice flow under stack draft and the blower's pressure; heat from the oxygen taken up (12.3 kJ a gram for
carbon, from formation enthalpies), limited by a burning surface that grows with burning and shrinks slowly; fire box,
pit, wall in three layers, stone in two, cold parts, food as a lump. It is smaller than any simulated cooker here
(docs/explain/plant.md) and knows none of their constants: the priors are for ceramic cookers of about 30 to 60 cm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from emberdraft.ready.trace import STEP_S, Array, Trace

KW_PER_GPS = 2.846  # kW of carbon's heat in each g/s of air whose oxygen is all used (12.30 MJ/kg O2, 23.14 % O2)
G_FUEL_PER_KJ = 1.0 / 29.5  # charcoal, 29.5 MJ/kg
CP_J_GK = 1.05
DRAFT_PA_K_M = 3461.6  # p g / R at sea level: stack draft, with the height and the inverse temperatures
HEIGHT_M = 0.6
LID_W_K = 34.0
LID_AIR_GPS = 1.4
PARTS_CP, PARTS_W_K_KG = 870.0, 0.45
FOOD_W_K_KG, FOOD_WET_C = 3.0, 45.0  # a piece draws this for each degree that the pit is above its wet face

# Name: middle and log spread (1 sigma) of the prior.
PRIOR: dict[str, tuple[float, float]] = {
    "blower_pa": (95.0, 0.40),
    "in_on": (0.30, 0.35),  # g/s at 1 Pa through duct and running blower
    "in_off": (0.14, 0.50),  # through the flap, blower off
    "leak": (0.17, 0.60),  # lid seam and gasket
    "vent": (3.4, 0.40),  # top vent open
    "bed": (1.6, 0.40),  # the charcoal's resistance
    "grasp": (4.6, 0.30),  # sqrt(g/s) per kg lit
    "grow_s": (600.0, 0.35),
    "shrink_s": (1300.0, 0.35),
    "keep_per_s": (3.2e-4, 0.25),  # kg burnt a second per kg lit that keeps it lit
    "lit_kg": (0.042, 0.40),  # when lit
    "fuel_kg": (3.0, 0.35),
    "bed_s": (220.0, 0.40),  # the bed itself warms before it gives its heat on
    "to_stone": (0.07, 0.50),  # share of the fire's heat that the stone's underside sees
    "to_pit": (0.28, 0.45),  # share that warms the pit's air at once; the rest warms the fire box first
    "box_jk": (8000.0, 0.45),
    "box_w_k": (20.0, 0.40),
    "pit_jk": (700.0, 0.40),
    "wall_jk": (60000.0, 0.45),
    "wall_in_w_k": (28.0, 0.40),
    "wall_w_k": (230.0, 0.40),
    "wall_out_w_k": (24.0, 0.40),
    "stone_jk": (3600.0, 0.35),
    "stone_w_k": (13.0, 0.35),
    "stone_pit_w_k": (1.1, 0.45),
    "stone_wall_w_k": (0.5, 0.50),
}
NAMES = tuple(PRIOR)
MIDDLE = np.log([PRIOR[name][0] for name in NAMES])
SPREAD = np.array([PRIOR[name][1] for name in NAMES])

Constants = dict[str, Array]
STABLE = 0.35


def constants(z: Array) -> Constants:
    """Constants from standard normal coordinates, shape (guesses, constants)."""
    values = np.exp(MIDDLE + SPREAD * np.atleast_2d(z))
    c: Constants = {name: values[:, i].copy() for i, name in enumerate(NAMES)}
    # An explicit step must not outrun a store: beyond this the layers are as good as one.
    c["wall_w_k"] = np.minimum(c["wall_w_k"], STABLE * c["wall_jk"] / 3.0 / STEP_S)
    c["wall_in_w_k"] = np.minimum(c["wall_in_w_k"], STABLE * c["wall_jk"] / 3.0 / STEP_S)
    c["stone_w_k"] = np.minimum(c["stone_w_k"], STABLE * c["stone_jk"] / 2.0 / STEP_S)
    spare = np.minimum(1.0, 0.9 / (c["to_pit"] + c["to_stone"]))
    c["to_pit"], c["to_stone"] = c["to_pit"] * spare, c["to_stone"] * spare
    return c


@dataclass
class State:
    """Temperatures in degC, `lit_kg` and `fuel_kg`, burnt so far in kg; arrays over the guesses."""

    lit_kg: Array
    fuel_kg: Array
    burnt_kg: Array
    box_c: Array
    pit_c: Array
    wall_c: list[Array]
    under_c: Array
    stone_c: Array
    parts_c: Array
    air_gps: Array
    uptake: Array
    heat_w: Array  # released
    given_w: Array  # what the bed gives on of it

    def take(self, keep: NDArray[np.int64] | slice) -> State:
        """The guesses at `keep`."""
        part = {k: v[keep].copy() for k, v in vars(self).items() if k != "wall_c"}
        return State(wall_c=[w[keep].copy() for w in self.wall_c], **part)


@dataclass(frozen=True)
class Course:
    """What the twin says: (steps, guesses) of pit and stone in degC, heat in W, air in g/s, fuel burnt in kg."""

    pit_c: Array
    stone_c: Array
    heat_w: Array
    air_gps: Array
    burnt_kg: Array
    state: State


def cold(c: Constants, start_c: float) -> State:
    """Just lit, all of it at `start_c`."""
    n = c["fuel_kg"].size
    at = np.full(n, start_c)
    zero = np.zeros(n)
    return State(
        lit_kg=c["lit_kg"].copy(), fuel_kg=c["fuel_kg"].copy(), burnt_kg=zero.copy(), box_c=at.copy(), pit_c=at.copy(),
        wall_c=[at.copy(), at.copy(), at.copy()], under_c=at.copy(), stone_c=at.copy(), parts_c=at.copy(),
        air_gps=zero.copy(), uptake=zero.copy(), heat_w=zero.copy(), given_w=zero.copy(),
    )  # fmt: skip


def run(c: Constants, trace: Trace, state: State, limit_c: float | None = None) -> Course:
    """Let all guesses live through the trace. `limit_c`: the blower is throttled as the pit nears it."""
    n, rows = c["fuel_kg"].size, trace.length
    out: Array = np.empty((5, rows, n))
    parts_before = 0.0
    for i in range(rows):
        if trace.parts_kg[i] > parts_before:
            state.parts_c = np.full(n, trace.ambient_c)
        parts_before = trace.parts_kg[i]
        step(c, state, trace, i, limit_c)
        out[0, i], out[1, i], out[2, i] = state.pit_c, state.stone_c, state.heat_w
        out[3, i], out[4, i] = state.air_gps, state.burnt_kg
    return Course(out[0], out[1], out[2], out[3], out[4], state)


def step(c: Constants, s: State, trace: Trace, i: int, limit_c: float | None = None) -> None:
    """Advance all guesses by STEP_S with row `i` of the trace."""
    _air(c, s, trace, i, limit_c)
    _burn(c, s)
    _warm(c, s, trace, i)


def _air(c: Constants, s: State, trace: Trace, i: int, limit_c: float | None) -> None:
    """Orifices in series under stack draft and the blower's pressure, g/s."""
    speed: Array = np.asarray(trace.speed[i])
    boost = trace.speed2[i] * c["blower_pa"]
    if limit_c is not None:
        room = np.clip((limit_c - 15.0 - s.pit_c) / 20.0, 0.0, 1.0)
        speed, boost = speed * room, boost * room**2
    lifted = np.minimum(1.0, 12.0 * np.asarray(speed))
    inlet = trace.opening[i] * (c["in_off"] + (c["in_on"] - c["in_off"]) * lifted)
    top = c["vent"] * trace.vent_top[i] + c["leak"]
    ambient_k = trace.ambient_c + 273.15
    pit_k = np.maximum(s.pit_c, -20.0) + 273.15
    top = top * np.sqrt(ambient_k / pit_k)
    resist = 1.0 / (inlet**2 + 1e-9) + 1.0 / (top**2 + 1e-9) + 1.0 / c["bed"] ** 2
    draft = DRAFT_PA_K_M * HEIGHT_M * (1.0 / ambient_k - 1.0 / (pit_k + 60.0)) * (1.0 - 0.7 * trace.lid[i])
    s.air_gps = np.sqrt(np.maximum(boost + draft, 0.0) / resist) + LID_AIR_GPS * trace.lid[i]


def _burn(c: Constants, s: State) -> None:
    """Oxygen taken up by the lit part; the lit part grows towards what the burning keeps alight."""
    s.uptake = 1.0 - np.exp(-c["grasp"] * s.lit_kg / (np.sqrt(s.air_gps) + 1e-6))
    s.heat_w = 1000.0 * KW_PER_GPS * 0.96 * s.air_gps * s.uptake  # some carbon goes to CO only
    s.given_w = s.given_w + (s.heat_w - s.given_w) * (1.0 - np.exp(-STEP_S / c["bed_s"]))
    used_kgps = s.heat_w * 1e-6 * G_FUEL_PER_KJ
    used_kgps = np.minimum(used_kgps, s.fuel_kg / STEP_S)
    s.fuel_kg = s.fuel_kg - used_kgps * STEP_S
    s.burnt_kg = s.burnt_kg + used_kgps * STEP_S
    gap = used_kgps / c["keep_per_s"] - s.lit_kg
    rate = np.where(gap > 0.0, (1.0 - s.lit_kg / (s.fuel_kg + 1e-6)) / c["grow_s"], 1.0 / c["shrink_s"])
    s.lit_kg = np.clip(s.lit_kg + gap * np.maximum(rate, 0.0) * STEP_S, 1e-5, s.fuel_kg + 1e-5)


def _warm(c: Constants, s: State, trace: Trace, i: int) -> None:
    """Heat from the fire to box, pit, wall, stone and weather; the pit's air implicit, the rest explicit."""
    ambient, dt = trace.ambient_c, STEP_S
    wall, heat = s.wall_c, s.given_w
    direct = c["to_pit"] * heat
    flow_w_k = s.air_gps * CP_J_GK
    lid = LID_W_K * trace.lid[i]
    food = FOOD_W_K_KG * trace.food_kg[i]
    parts = PARTS_W_K_KG * trace.parts_kg[i]
    hold = c["pit_jk"] / dt
    given = hold * s.pit_c + direct + (flow_w_k + lid) * ambient + c["box_w_k"] * s.box_c
    given = given + c["wall_in_w_k"] * wall[0] + c["stone_pit_w_k"] * (s.under_c + s.stone_c)
    given = given + food * FOOD_WET_C + parts * s.parts_c
    pit = given / (hold + flow_w_k + lid + c["box_w_k"] + c["wall_in_w_k"] + 2.0 * c["stone_pit_w_k"] + food + parts)
    s.pit_c = pit
    if trace.parts_kg[i] > 0.0:
        s.parts_c = s.parts_c + dt * PARTS_W_K_KG / PARTS_CP * (pit - s.parts_c)
    box_heat = (1.0 - c["to_pit"] - c["to_stone"]) * heat
    s.box_c = s.box_c + _toward(dt, box_heat, c["box_w_k"], pit, s.box_c, c["box_jk"])
    layer = c["wall_jk"] / 3.0
    glow = c["stone_wall_w_k"] * (s.stone_c - wall[0])
    first, second = c["wall_w_k"] * (wall[0] - wall[1]), c["wall_w_k"] * (wall[1] - wall[2])
    windy = c["wall_out_w_k"] * (0.77 + 0.23 * trace.wind_mps)
    wall[0] = wall[0] + dt / layer * (c["wall_in_w_k"] * (pit - wall[0]) + glow - first)
    wall[1] = wall[1] + dt / layer * (first - second)
    wall[2] = wall[2] + dt / layer * (second - windy * (wall[2] - ambient))
    half = 0.5 * c["stone_jk"]
    through = c["stone_w_k"] * (s.under_c - s.stone_c)
    seen = c["to_stone"] * heat
    s.under_c = s.under_c + dt / half * (seen + c["stone_pit_w_k"] * (pit - s.under_c) - through)
    s.stone_c = s.stone_c + dt / half * (c["stone_pit_w_k"] * (pit - s.stone_c) - glow + through)


def _toward(dt: float, heat: Array, w_k: Array, pit: Array, at: Array, jk: Array) -> Array:
    """Change of a store that is heated and joined to the pit, exact over a step (never unstable)."""
    share = 1.0 - np.exp(-dt * w_k / jk)
    return np.asarray(share * (pit + heat / w_k - at))
