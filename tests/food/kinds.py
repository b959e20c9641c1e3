"""Pieces by kind, cooked by the simulated cookers' slab (host/emberdraft/plant/slab.py), not the forecast's model.

Each kind is one thing that goes differently from the book: thin, thick, probe off centre, started warm, read seldom, a
moist pit with a long plateau, a pit target that changes, a lid that is lifted often.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from emberdraft.plant.slab import Slab, warm_piece
from tests.food.unseen import Piece

DT_S = 5.0
LONGEST_S = 14 * 3600.0


@dataclass
class Setting:
    """What a kind changes."""

    thick_m: tuple[float, float] = (0.022, 0.060)
    start_c: tuple[float, float] = (2.0, 10.0)
    pull_c: tuple[float, float] = (46.0, 63.0)
    pit_c: tuple[float, float] = (102.0, 135.0)
    h_wm2k: tuple[float, float] = (12.0, 34.0)
    wet: tuple[float, float] = (0.1, 0.7)
    ratio: tuple[float, float] = (0.006, 0.03)
    cell: int = 0  # of 8 from the middle to the face
    every_s: tuple[float, ...] = (5.0,)
    lids: int = 1
    change_c: float = 0.0
    resolution_c: float = 0.1


KINDS: dict[str, Setting] = {
    "plain": Setting(),
    "thin": Setting(thick_m=(0.010, 0.016)),
    "thick": Setting(thick_m=(0.085, 0.120)),
    "quarter off centre": Setting(cell=4),
    "warm start": Setting(start_c=(20.0, 38.0)),
    "read seldom": Setting(every_s=(20.0, 45.0, 60.0, 150.0), resolution_c=0.5),
    "plateau": Setting(thick_m=(0.05, 0.08), pull_c=(70.0, 80.0), wet=(0.7, 1.0), ratio=(0.05, 0.14)),
    "target changed": Setting(change_c=22.0),
    "lid lifted often": Setting(lids=5),
}


def _pit(rng: np.random.Generator, s: Setting, steps: int) -> np.ndarray:
    seconds = np.arange(steps) * DT_S
    pit = np.full(steps, rng.uniform(*s.pit_c))
    if s.change_c:
        pit[seconds > rng.uniform(900.0, 2400.0)] += s.change_c * rng.choice((-1.0, 1.0))
    for at in [0.0, *rng.uniform(600.0, 5400.0, s.lids)]:
        late = np.maximum(seconds - at, 0.0)
        pit -= (seconds >= at) * rng.uniform(15.0, 55.0) * np.exp(-late / rng.uniform(90.0, 300.0))
    return pit + 1.2 * np.sin(seconds / rng.uniform(200.0, 700.0))


def _cook(rng: np.random.Generator, s: Setting) -> Piece | None:
    thick, start, pull = rng.uniform(*s.thick_m), rng.uniform(*s.start_c), rng.uniform(*s.pull_c)
    pit = _pit(rng, s, int(LONGEST_S / DT_S))
    meat = {"k": rng.uniform(0.44, 0.54), "rho": 1055.0, "cp": rng.uniform(3300.0, 3650.0)}
    slab = Slab(0.4, thick, start, meat=meat, wet=rng.uniform(*s.wet))
    wet, h, ratio = slab.wet, rng.uniform(*s.h_wm2k), rng.uniform(*s.ratio)
    dry_g_m2, floor = rng.uniform(500.0, 1500.0), rng.uniform(0.05, 0.2)
    lag_s, reading, core, at_pull = rng.uniform(4.0, 12.0), start, [], 0.0
    for i, air in enumerate(pit):
        _, gone = warm_piece(slab, DT_S, h, float(air), ratio)
        slab.lost_g_m2 += gone / slab.area_m2 * DT_S
        slab.wet = max(wet * floor, wet * (1.0 - slab.lost_g_m2 / dry_g_m2))
        reading += (slab.temp_c[s.cell] - reading) * DT_S / (lag_s + DT_S)
        core.append(reading)
        at_pull = at_pull or (i * DT_S if reading >= pull else 0.0)
        if reading > pull + 0.5:
            return _read(
                rng, s, Piece(thick, 0.4, pull, np.arange(i + 1) * DT_S, np.array(core), pit[: i + 1], at_pull)
            )
    return None


def _read(rng: np.random.Generator, s: Setting, piece: Piece) -> Piece:
    """What the probe says, when somebody reads it."""
    gaps = rng.choice(s.every_s, piece.t_s.size)
    at = np.unique(np.searchsorted(piece.t_s, np.cumsum(gaps)[np.cumsum(gaps) <= piece.t_s[-1]]))
    read = piece.core_c[at] + rng.normal(0.0, 0.1, at.size)
    piece.core_c = np.round(read / s.resolution_c) * s.resolution_c
    piece.t_s, piece.pit_c = piece.t_s[at], piece.pit_c[at]
    return piece


def pieces_of(kind: str, count: int, first_seed: int) -> list[Piece]:
    """`count` pieces of a kind."""
    found: list[Piece] = []
    seed = first_seed
    while len(found) < count:
        piece = _cook(np.random.default_rng(seed), KINDS[kind])
        seed += 1
        if piece is not None and piece.pull_at_s > 400.0:
            found.append(piece)
    return found
