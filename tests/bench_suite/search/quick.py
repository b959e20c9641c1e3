"""One long story a cooker, played by the law alone: no guard, no link, plant and law stepped as coarsely as they bear.

The law is `onelaw.OneLaw`; its arithmetic (`bank`, `foretell`) runs compiled here, from the same source as on a board.
"""

from __future__ import annotations

import importlib.util
import random
from functools import cache
from types import ModuleType
from typing import Any, NamedTuple

import numpy as np

from emberboard.core.air import LAW_FILTER_S, opening_for
from emberboard.core.blower import Blower
from emberboard.core.reading import Smooth
from emberdraft.bench.cookers import Cooker
from emberdraft.bench.law import bank, foretell, onelaw
from tests.bench_suite.compiled import compiled

PLANT_S, LAW_S = 5.0, 5.0
MIN = 60.0
LID_S, LID_LONG_S, UP_S, DOWN_S, END_S = 85 * MIN, 90.0, 110 * MIN, 135 * MIN, 185 * MIN
TARGETS_C = (121.0, 135.0, 107.0)
PROBE_S, NOISE_C, STEP_C = 10.0, 0.2, 0.25


class Course(NamedTuple):
    """Columns every LAW_S seconds."""

    t_s: np.ndarray
    pit_c: np.ndarray
    target_c: np.ndarray
    air: np.ndarray


def _copy(module: ModuleType) -> ModuleType:
    spec = importlib.util.find_spec(module.__name__)
    assert spec is not None and spec.loader is not None
    twin = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(twin)
    return twin


@cache
def quickly() -> ModuleType:
    """`foretell` with all its arithmetic compiled, as a module of its own."""
    twin_bank, twin = _copy(bank), _copy(foretell)
    twin.bank = twin_bank  # type: ignore[attr-defined]
    compiled(twin_bank, twin)
    twin.models = foretell.models  # type: ignore[attr-defined]
    twin.start = foretell.start  # type: ignore[attr-defined]
    onelaw.ask, onelaw.bank = twin, twin_bank
    return twin


def law_of(constants: Any) -> onelaw.OneLaw:
    """The law with these constants, on arrays."""
    quickly()
    law = onelaw.OneLaw(c=list(constants))
    for name in ("s", "x", "w", "m", "c", "_costs"):
        setattr(law, name, np.array(getattr(law, name)))
    return law


def target_at(t_s: float) -> float:
    """The order in force."""
    return TARGETS_C[0] if t_s < UP_S else TARGETS_C[1] if t_s < DOWN_S else TARGETS_C[2]


def cook(law: onelaw.OneLaw, cooker: Cooker, seed: int, end_s: float = END_S) -> Course:
    """Light and hold, a lid, a step up, a step down."""
    plant, chance, line, blower = cooker.build(seed), random.Random(f"quick {seed}"), Smooth(LAW_FILTER_S), Blower()
    calm, rows, t_s, air, target_c, bead_c = Smooth(20.0), [], 0.0, 0.0, 0.0, cooker.ambient_c
    acts = {"exhaust": 0.3, "ambient_c": cooker.ambient_c, "wind_mps": 1.0, "lid_open": False}
    while t_s < end_s:
        seen_c = round((bead_c + chance.gauss(0.0, NOISE_C)) / STEP_C) * STEP_C
        line.update(seen_c, LAW_S)
        calm.update(seen_c, LAW_S)
        lid = LID_S <= t_s < LID_S + LID_LONG_S
        acts["lid_open"] = lid
        if target_c != target_at(t_s):
            target_c = target_at(t_s)
            law.start(target_c, line.level)
        if lid:
            law.wait(target_c, line.level)
            air = 0.0
        else:
            air = law.step(target_c, line.level, line.slope, LAW_S, calm.slope)
        for _ in range(round(LAW_S / PLANT_S)):
            acts["blower"] = 0.0 if lid else blower.step(max(air, 0.0), PLANT_S)
            acts["intake"] = opening_for(1.0 - (law.duty if lid else air) / bank.SHUT)
            true_c = plant.step(PLANT_S, acts)["pit_c"]
            bead_c += (true_c - bead_c) * PLANT_S / (PROBE_S + PLANT_S)
        t_s += LAW_S
        rows.append((t_s, true_c, target_c, air))
    return Course(*(np.array(column) for column in zip(*rows, strict=True)))
