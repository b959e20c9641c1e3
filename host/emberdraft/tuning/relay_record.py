"""The relay test that a board made in a cook, found in its record and read off: firmware core/relay.py makes it."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np

from emberboard.core.relay import BAND_C, UNEVEN
from emberdraft.store.read import Reader
from emberdraft.tuning.model import Array
from emberdraft.tuning.relay import CYCLES, read_off

WORD = "relay"
NAMES = ("at_s", "pit_c", "duty", "why")


def relay_tests(reader: Reader, cook_id: int) -> list[dict[str, Any]]:
    """Every test of a cook: when, for how long, how many swings; and what it says, or `trouble` why it says nothing."""
    columns = reader.readings(cook_id, names=NAMES)
    on = np.array([why == WORD for why in columns["why"]], bool)
    edges = np.flatnonzero(np.diff(np.concatenate(([0], on.astype(int), [0]))))
    found = []
    for first, last in zip(edges[::2], edges[1::2], strict=True):
        part = {name: columns[name][first:last] for name in NAMES[:-1]}
        found.append({"at_s": part["at_s"][0], "duration_s": part["at_s"][-1] - part["at_s"][0], **_read(part)})
    return found


def _read(part: dict[str, list[Any]]) -> dict[str, Any]:
    """The figures of one test from its readings, on a grid of seconds."""
    at_s, pit_c, duty = (np.array([np.nan if v is None else v for v in part[name]], float) for name in NAMES[:-1])
    rises_s = [float(at_s[k + 1]) for k in np.flatnonzero(np.diff(duty) > 0.0)]
    if len(rises_s) <= CYCLES:
        return {"swings": len(rises_s), "trouble": f"{len(rises_s)} swings are too few; {CYCLES + 1} would be right"}
    grid: Array = np.arange(at_s[0], at_s[-1] + 0.5, 1.0, dtype=float)
    good = np.isfinite(pit_c)
    held = duty[np.clip(np.searchsorted(at_s, grid + 0.5, side="right") - 1, 0, len(duty) - 1)]
    low, high = float(duty.min()), float(duty.max())
    learnt = (high + UNEVEN * low) / (1.0 + UNEVEN)
    made = read_off(grid, np.interp(grid, at_s[good], pit_c[good]), held, rises_s[-CYCLES - 1 :], learnt, BAND_C)
    return {"swings": len(rises_s), "trouble": "", **asdict(made)}
