"""How long a piece is on the grate in each of many evenings: the conduction model of `food`, from on to pull.

The guesses of the pull forecast are for a piece that will be read as it goes; before lighting their medians are a third
short of pieces of other equations (tests/food/unseen.py), so faces and coefficients have a prior of their own here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from emberdraft.evening.cuts import DENSITY_KGM3, KINDS, half_m
from emberdraft.evening.wanted import Food
from emberdraft.food.guesses import SETS, VAPOUR_PA, between
from emberdraft.food.slabs import CONVECTIVE_SHARE, PSYCHROMETRIC_PA_PER_K, Array, Slabs, vapour_pressure_pa

LONGEST_S = 30.0 * 3600.0
STEPS_S, STEPS_EACH = (20.0, 60.0, 120.0, 240.0), 90  # a chop is seen finely, a night costs little
ENOUGH = 0.97  # of the draws are done: the slowest are not waited for
SHAPE_SPREAD, ALPHA_M2S, ALPHA_SPREAD = 0.25, 1.38e-7, 0.05
H_W_M2K, H_SPREAD = 16.0, 0.15
WET_SPREAD, WET_SPREAD_LARGE, GIVES_SPREAD = 0.30, 0.18, 0.15
WRAPPED = 0.10  # of the wetness: the steam stays inside
DEPTH, DEEPEST = 0.2, 0.9
# The pit falls while the lid is open to put it on: 2800 to 11600 degC s in rehearsals of four training cookers.
LID_FALL_C, LID_BACK_S = 40.0, 140.0
LEFT_COUNT = 60


def drawn_slabs(food: Food, pit: Array, rng: np.random.Generator) -> Slabs:
    """A body for each row of `pit` (standard normal: heat transfer and moisture of that evening's pit)."""
    kind, (half, spread) = KINDS[food.cut], half_m(food.cut, food.thickness_m, food.mass_kg)
    z = rng.standard_normal((6, pit.shape[0]))
    size = half * np.exp(spread * z[0])
    shape = np.clip(kind.shape + SHAPE_SPREAD * z[1], 0.0, 2.0)
    wet_spread = WET_SPREAD_LARGE if kind.large else WET_SPREAD
    water_g_m2 = 1000.0 * DENSITY_KGM3 * size / (1.0 + shape)
    return Slabs(
        half_m=size,
        shape=shape,
        alpha_m2s=ALPHA_M2S * np.exp(ALPHA_SPREAD * z[2]),
        h_w_m2k=H_W_M2K * np.exp(H_SPREAD * pit[:, 0]),
        wet=kind.wet * np.exp(wet_spread * z[3]),
        start_c=food.start_c,
        vapour_pa=between(VAPOUR_PA, pit[:, 1]),
        dry_g_m2=kind.gives * np.exp(GIVES_SPREAD * z[4]) * water_g_m2,
        dry_floor=np.full(pit.shape[0], kind.dry_floor),
        sets=SETS / (1.0 + np.exp(-1.702 * z[5])),
    )


def time_on_s(food: Food, pit_c: float, pit: Array, rng: np.random.Generator) -> Array:
    """Seconds from on to the pull temperature in each evening; inf where it is not reached in LONGEST_S."""
    return np.asarray(crossings_s(food, pit_c, (food.pull_c,), pit, rng)[0])


def crossings_s(food: Food, pit_c: float, cores_c: Sequence[float], pit: Array, rng: np.random.Generator) -> Array:
    """The same for several cores, one row each, the highest the last."""
    slabs = drawn_slabs(food, pit, rng)
    depth = np.minimum(DEPTH * np.abs(rng.standard_normal(pit.shape[0])), DEEPEST)
    times, t_s, count = np.full((len(cores_c), depth.size), np.inf), 0.0, 0
    times[np.less_equal.outer(cores_c, slabs.at(depth))] = 0.0
    core_c, wrapped = slabs.at(depth), np.zeros(depth.size, bool)
    while t_s < LONGEST_S and np.mean(np.isfinite(times[-1])) < ENOUGH:
        step_s = STEPS_S[min(count // STEPS_EACH, len(STEPS_S) - 1)]
        slabs.step(step_s, pit_c - LID_FALL_C * math.exp(-(t_s + 0.5 * step_s) / LID_BACK_S))
        now_c = slabs.at(depth)
        for row, at_c in zip(times, cores_c, strict=True):
            cross = np.isinf(row) & (now_c >= at_c)
            row[cross] = t_s + step_s * ((at_c - core_c) / np.maximum(now_c - core_c, 1e-6))[cross]
        if food.wrap_c is not None:
            wraps = ~wrapped & (now_c >= food.wrap_c)
            slabs.wet[wraps] *= WRAPPED
            wrapped |= wraps
        core_c, t_s, count = now_c, t_s + step_s, count + 1
    if t_s < LONGEST_S:
        times[np.isinf(times)] = t_s  # the slowest, which were not waited for
    return times


def left_s(food: Food, pit_c: float, core_c: float) -> float:
    """From a core of `core_c` to the pull at that pit, s: the middle of bodies that passed that core on their way."""
    if core_c >= food.pull_c:
        return 0.0
    rng = np.random.default_rng(LEFT_COUNT)
    pit = rng.standard_normal((LEFT_COUNT, 2))
    begun, done = crossings_s(food, pit_c, (core_c, food.pull_c), pit, rng)
    there = np.isfinite(done)
    return float(np.median(done[there] - begun[there])) if there.any() else LONGEST_S


def plateau_c(pit_c: float, wet: float, vapour_pa: float) -> float:
    """Where a face of that wetness is cooled as fast as a pit of `pit_c` heats it, degC, by bisection.

    With `wet` 1 / CONVECTIVE_SHARE (no radiation, open water) it is the wet bulb.
    """
    low, high = 0.0, pit_c
    for _ in range(40):
        mid = 0.5 * (low + high)
        cooled = (
            wet * CONVECTIVE_SHARE / PSYCHROMETRIC_PA_PER_K * (float(vapour_pressure_pa(np.array(mid))) - vapour_pa)
        )
        low, high = (mid, high) if pit_c - mid > cooled else (low, mid)
    return 0.5 * (low + high)
