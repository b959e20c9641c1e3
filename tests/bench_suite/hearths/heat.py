"""Heat in a hearth: gas, baffle, stone, grate, food and wall, each with what it holds (finite differences)."""

import math

from . import places as at
from .fire import CP, O2_MASS, SB, bed, burn, radiated
from .flow import air, move_actuators


def step(s, p, blower, intake, exhaust, lid, ambient_k, wind_mps, mood, dt_s):
    """Advance the state by `dt_s` (1 s at most); `mood` multiplies what the fire takes up."""
    move_actuators(s, p, blower, intake, dt_s)
    through, top, total, by_lid, lid_wk = air(s, p, exhaust, lid, ambient_k, wind_mps)
    heat_w, mt, taken = burn(s, p, through, top, mood, dt_s)
    gas_k, old_gas, fire_k = s[at.S_GAS], s[at.S_GAS], s[at.S_FIRE]
    bed_wk = mt * CP * (1.0 - math.exp(-p[at.P_UG] * s[at.S_AREA] / mt))
    inlet_k = ((through + top) * ambient_k + p[at.P_RC] * s[at.S_AREA] * gas_k) / mt
    by_gas_w = bed_wk * (fire_k - inlet_k)
    r_box, r_stone, r_wall, r_baffle = radiated(s, p)
    left_j, box_jk = bed(s, p, heat_w, by_gas_w + r_box + r_stone + r_wall + r_baffle, mood, dt_s)
    plume_w, b_gas, b_stone = baffle(s, p, r_baffle, inlet_k + by_gas_w / (mt * CP), mt, old_gas, dt_s)
    wall_wk = (p[at.P_HIN] + p[at.P_HINM] * (through + by_lid)) * p[at.P_AW]
    gas_w = by_gas_w - plume_w + b_gas
    gas_k = gas(s, p, gas_w, total + top, wall_wk, lid_wk, ambient_k, dt_s)
    tw0 = s[at.S_WALL]
    box_wall = p[at.P_GFW] * (s[at.S_BOX] - tw0)
    box_stone = p[at.P_GFS] * SB * (s[at.S_BOX] ** 4 - s[at.S_STONE0] ** 4)
    left_j += dt_s * (r_box - p[at.P_GFG] * (s[at.S_BOX] - gas_k) - box_wall - box_stone)
    s[at.S_BOX] = left_j / box_jk
    stone_wall, lost = stone(s, p, r_stone + box_stone + b_stone, gas_k, lid, ambient_k, dt_s)
    s[at.S_GRATE] += dt_s / p[at.P_CGR] * p[at.P_GGR] * (gas_k - s[at.S_GRATE])
    from_walls, vapour_w = foods(s, p, gas_k, lid, dt_s)
    lid_wall = p[at.P_LIDW] * p[at.P_AW] * (tw0 - ambient_k) if lid > 0.5 else 0.0
    into_w = wall_wk * (gas_k - tw0) + r_wall + box_wall + stone_wall - lid_wall - 0.5 * from_walls
    outside_w = wall(s, p, into_w, ambient_k, wind_mps, dt_s)
    oxygen(s, p, old_gas, total + top + lid_wk / CP, taken, dt_s)
    s[at.S_PIT] += dt_s / (p[at.P_TMIX] + dt_s) * (gas_k - s[at.S_PIT])
    s[at.S_DOME] += dt_s / 20.0 * (0.8 * gas_k + 0.2 * tw0 - s[at.S_DOME])
    s[at.S_AIR] = through + top
    s[at.S_RELEASED] += heat_w * dt_s
    flue_w = (total + top) * CP * (gas_k - ambient_k)
    s[at.S_LEFT] += dt_s * (flue_w + lid_wk * (gas_k - ambient_k) + outside_w + lost + lid_wall + vapour_w)


def baffle(s, p, radiated_w, plume_k, mt, gas_k, dt_s):
    """The rim of the fire bowl takes part of the plume's heat; W from plume, to gas, to stone."""
    rim_k = s[at.S_BAFFLE]
    plume_w = p[at.P_EPX] * mt * CP * (plume_k - rim_k)
    gas_w = p[at.P_GDG] * (rim_k - gas_k)
    stone_w = p[at.P_GDS] * SB * (rim_k**4 - s[at.S_STONE0] ** 4)
    s[at.S_BAFFLE] = rim_k + dt_s / p[at.P_CDF] * (radiated_w + plume_w - gas_w - stone_w)
    return plume_w, gas_w, stone_w


def gas(s, p, heat_w, through, wall_wk, lid_wk, ambient_k, dt_s):
    """The gas' temperature at the step's end (implicit: it holds next to nothing)."""
    held = p[at.P_CG] / dt_s
    top_wk, under_wk = p[at.P_HST] * p[at.P_AST], p[at.P_GSB] * p[at.P_AST]
    ggr, gfg = p[at.P_GGR], p[at.P_GFG]
    given = held * s[at.S_GAS] + heat_w + (through * CP + lid_wk) * ambient_k + wall_wk * s[at.S_WALL]
    given += top_wk * s[at.S_STONE2] + under_wk * s[at.S_STONE0] + ggr * s[at.S_GRATE] + gfg * s[at.S_BOX]
    taken = held + through * CP + lid_wk + wall_wk + top_wk + under_wk + ggr + gfg
    for j in range(at.FOODS):
        b = at.S_FOOD + j * at.FOOD_ROW
        if s[b] > 0.5:
            food_wk = p[at.P_HFOOD] * 0.6 * s[b + 2]
            given += food_wk * s[b + 6]
            taken += food_wk
    s[at.S_GAS] = given / taken
    return s[at.S_GAS]


def stone(s, p, below_w, gas_k, lid, ambient_k, dt_s):
    """Three layers of stone; W from its top to the wall, and out of an open lid."""
    third = p[at.P_CST] / 3.0
    t0, t1, t2 = s[at.S_STONE0], s[at.S_STONE1], s[at.S_STONE2]
    area, down = p[at.P_AST], p[at.P_GST]
    to_wall = p[at.P_F_STW] * area * SB * (t2**4 - s[at.S_WALL] ** 4)
    lost = 0.5 * area * SB * (t2**4 - ambient_k**4) if lid > 0.5 else 0.0
    s[at.S_STONE0] = t0 + dt_s / third * (below_w + p[at.P_GSB] * area * (gas_k - t0) - down * (t0 - t1))
    s[at.S_STONE1] = t1 + dt_s / third * (down * (t0 - t1) - down * (t1 - t2))
    s[at.S_STONE2] = t2 + dt_s / third * (down * (t1 - t2) + p[at.P_HST] * area * (gas_k - t2) - to_wall - lost)
    return to_wall, lost


def foods(s, p, gas_k, lid, dt_s):
    """Half slabs with evaporation; W radiated to them by wall and stone, W of vapour."""
    radiated_w = 0.0
    vapour_w = 0.0
    for j in range(at.FOODS):
        b = at.S_FOOD + j * at.FOOD_ROW
        if s[b] > 0.5:
            area, face_k = s[b + 2], s[b + 6]
            face_c = face_k - 273.15
            psat = 610.94 * math.exp(17.625 * face_c / (face_c + 243.04))  # Magnus' formula, Pa
            wet = p[at.P_EVAP] * (0.25 + 0.75 * s[b + 4])
            gone = p[at.P_HFOOD] * 0.6 / 66.0 / 2.35e6 * max(0.0, psat - p[at.P_PV]) * wet * area
            s[b + 4] = max(0.0, s[b + 4] - dt_s * gone / (0.35 * area))
            around_k = 0.5 * (s[at.S_WALL] + s[at.S_STONE2])
            shone = 0.6 * SB * area * (around_k**4 - face_k**4) * (0.5 if lid > 0.5 else 1.0)
            slab(s, b, p[at.P_HFOOD] * 0.6 * area * (gas_k - face_k) + shone - gone * 2.35e6, dt_s)
            radiated_w += shone
            vapour_w += gone * 2.35e6
    s[at.S_STONE2] -= dt_s / (p[at.P_CST] / 3.0) * 0.5 * radiated_w
    return radiated_w, vapour_w


def slab(s, b, face_w, dt_s):
    """Heat `face_w` goes into the slab at `b`; its first and last nodes are half ones."""
    before = face_w
    for k in range(at.FOOD_NODES - 1):
        here = s[b + 6 + k]
        on = s[b + 3] * (here - s[b + 7 + k])
        s[b + 6 + k] = here + dt_s / (s[b + 1] * (0.5 if k == 0 else 1.0)) * (before - on)
        before = on
    s[b + 6 + at.FOOD_NODES - 1] += dt_s / (s[b + 1] * 0.5) * before


def wall(s, p, into_w, ambient_k, wind_mps, dt_s):
    """The shell's nodes from inside to outside; W that leave it."""
    n = int(p[at.P_NW])
    node_jk = p[at.P_CW] / n
    last_k = s[at.S_WALL + n - 1]
    outside = p[at.P_HEXT0] + p[at.P_HEXTW] * wind_mps
    out_w = p[at.P_AW] * 1.12 * (outside * (last_k - ambient_k) + p[at.P_EMIS] * SB * (last_k**4 - ambient_k**4))
    before = into_w
    for k in range(n - 1):
        here = s[at.S_WALL + k]
        on = p[at.P_GW] * (here - s[at.S_WALL + k + 1])
        s[at.S_WALL + k] = here + dt_s / node_jk * (before - on)
        before = on
    s[at.S_WALL + n - 1] += dt_s / node_jk * (before - out_w)
    return out_w


def oxygen(s, p, gas_k, fresh, taken, dt_s):
    """Oxygen in the pit, as a share of mass."""
    mass = 353.0 / gas_k * p[at.P_VOL]
    y = (mass * s[at.S_O2] + dt_s * (O2_MASS * fresh - taken)) / (mass + dt_s * fresh)
    s[at.S_O2] = max(0.0, y)


def stored_j(s, p):
    """Heat held in everything, J above 0 K."""
    total = p[at.P_CG] * s[at.S_GAS] + p[at.P_CA] * s[at.S_AREA] * s[at.S_FIRE]
    total += (p[at.P_CFB] - p[at.P_CA] * s[at.S_AREA]) * s[at.S_BOX] + p[at.P_CDF] * s[at.S_BAFFLE]
    total += p[at.P_CST] / 3.0 * (s[at.S_STONE0] + s[at.S_STONE1] + s[at.S_STONE2]) + p[at.P_CGR] * s[at.S_GRATE]
    n = int(p[at.P_NW])
    for k in range(n):
        total += p[at.P_CW] / n * s[at.S_WALL + k]
    for j in range(at.FOODS):
        b = at.S_FOOD + j * at.FOOD_ROW
        if s[b] > 0.5:
            total += food_j(s, b)
    return total


def food_j(s, b):
    """Heat held in the slab at `b`, J."""
    held = 0.5 * (s[b + 6] + s[b + 6 + at.FOOD_NODES - 1])
    for k in range(1, at.FOOD_NODES - 1):
        held += s[b + 6 + k]
    return held * s[b + 1]
