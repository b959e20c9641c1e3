"""Pieces of food that the forecast has never seen: another model than its own (two dimensions, properties that change).

A block is cut in a quarter section, thickness by width, with conductivity and heat capacity that rise with temperature
(Choi and Okos 1986, trend of the table in tests/computed), a protein heat sink around 58 degC, and a surface whose
wetness falls as it dries. The pit wanders, is lifted open, changes its target. Times in s, temperatures in degC.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np


@dataclass
class Piece:
    """What was drawn for one piece; `pit_c` is the pit at the food, `true_c` the probe without noise."""

    thickness_m: float
    mass_kg: float
    pull_c: float
    t_s: np.ndarray
    core_c: np.ndarray
    pit_c: np.ndarray
    pull_at_s: float


def _pit(rng: np.random.Generator, seconds: np.ndarray) -> np.ndarray:
    target = rng.uniform(102.0, 138.0)
    pit = np.full(seconds.size, target)
    if rng.uniform() < 0.25:
        pit[seconds > rng.uniform(900.0, 3600.0)] += rng.uniform(-12.0, 14.0)
    noise = np.convolve(rng.standard_normal(seconds.size + 60), np.ones(60) / 60.0, "same")[: seconds.size]
    pit = pit + 6.0 * noise + rng.uniform(0.0, 3.0) * np.sin(seconds / rng.uniform(300.0, 900.0))
    pit -= rng.uniform(20.0, 50.0) * np.exp(-seconds / rng.uniform(120.0, 400.0))  # the lid was open to put it on
    for _ in range(rng.poisson(0.8)):
        at = rng.uniform(600.0, 5400.0)
        late = np.maximum(seconds - at, 0.0)
        pit -= (late > 0) * rng.uniform(20.0, 60.0) * np.exp(-late / rng.uniform(100.0, 300.0))
    return pit


def _block(rng: np.random.Generator, thick_m: float, wide_m: float, start_c: float, pit: np.ndarray, dt: float):
    """Yield (time step index, temperature field) of a quarter section."""
    nx, ny = 8, 10
    dx, dy = thick_m / 2.0 / nx, wide_m / 2.0 / ny
    field = np.full((nx, ny), start_c)
    k0, h = rng.uniform(0.42, 0.52), rng.uniform(9.0, 26.0)
    rho_cp = rng.uniform(3.3e6, 3.85e6)
    wet, dry_s = rng.uniform(0.03, 0.45), rng.uniform(2000.0, 12000.0)
    vapour = rng.uniform(800.0, 6000.0)
    for i, air in enumerate(pit):
        k = k0 * (1.0 + 0.0025 * field)
        cap = rho_cp * (1.0 + 0.0002 * field + 0.12 * np.exp(-(((field - 58.0) / 6.0) ** 2)))
        gain = np.zeros_like(field)
        flow = 0.5 * (k[1:] + k[:-1]) * (field[1:] - field[:-1]) / dx**2
        gain[:-1] += flow
        gain[1:] -= flow
        flow = 0.5 * (k[:, 1:] + k[:, :-1]) * (field[:, 1:] - field[:, :-1]) / dy**2
        gain[:, :-1] += flow
        gain[:, 1:] -= flow
        wetness = wet * (0.35 + 0.65 * np.exp(-i * dt / dry_s))
        gain[-1] += _surface(field[-1], air, h, wetness, vapour) / dx
        gain[:, -1] += _surface(field[:, -1], air, h * 0.9, wetness, vapour) / dy
        field = field + dt * gain / cap
        yield field


def _surface(surface: np.ndarray, air: float, h: float, wetness: float, vapour: float) -> np.ndarray:
    pressure = 610.94 * np.exp(17.625 * surface / (surface + 243.04))
    return h * ((air - surface) - wetness * 0.55 * np.maximum(pressure - vapour, 0.0) / 66.0)


def draw(seed: int) -> Piece | None:
    """One piece; None when it does not reach its pull temperature in the time simulated."""
    rng = np.random.default_rng(seed)
    dt = 2.0
    seconds = np.arange(0.0, 5 * 3600.0, dt)
    thick = rng.uniform(0.025, 0.075)
    wide = thick * rng.uniform(1.2, 4.0)
    start, pull = rng.uniform(1.0, 22.0), rng.uniform(44.0, 64.0)
    pit = _pit(rng, seconds)
    a, b = min(int(rng.uniform(0.0, 0.30) * 8), 7), min(int(rng.uniform(0.0, 0.4) * 10), 9)
    core = np.empty(seconds.size)
    last = seconds.size
    for i, field in enumerate(_block(rng, thick, wide, start, pit, dt)):
        core[i] = field[a, b]
        if core[i] > pull + 1.0:
            last = i + 1
            break
    else:
        return None
    lag, lagged = rng.uniform(4.0, 15.0), np.empty(last)
    reading = start
    for i in range(last):
        reading += (core[i] - reading) * dt / lag
        lagged[i] = reading
    read = np.round((lagged + rng.normal(0.0, 0.12, last)) / 0.1) * 0.1
    reached = np.nonzero(lagged >= pull)[0]
    if reached.size == 0:
        return None
    return Piece(thick, 1050.0 * thick * wide * wide * 1.3, pull, seconds[:last], read, pit[:last], seconds[reached[0]])


def pieces(count: int, first_seed: int) -> Iterator[Piece]:
    """`count` pieces that do get there."""
    seed = first_seed
    while count:
        piece = draw(seed)
        seed += 1
        if piece is not None and piece.pull_at_s > 900.0:
            count -= 1
            yield piece
