"""Figures of each cooker, as printed in docs/explain/plant.md: `python -m tests.plant.figures`."""

from __future__ import annotations

import copy
from typing import Any

from emberdraft.plant import CATALOGUE, make
from tests.plant.helpers import Textbook, run, until

HEAD = ("cooker", "up min", "kg/h", "stone min", "coast degC", "lid degC", "down min")


def figures(name: str) -> dict[str, float]:
    """Seed 1, 20 degC, 1 m/s of wind, top vent a fifth open unless said.

    up min: full air from one side lit to 121 degC; kg/h: charcoal in hours 2 to 4 at 121 degC; stone min: from there to
    260 degC on full air with the top vent open; coast degC: how far past 260 with the blower stopped; lid degC:
    fall of the pit in 60 s of open lid; down min: from 135 to 110 degC with the blower stopped.
    """
    yard = {"wind_mps": 1.0}
    lit = make(name, seed=1)
    up = until(lit, "pit_c", 121.0, **yard) / 60.0
    plant = make(name, seed=1)
    Textbook(121.0, gain=0.006, ti_s=2000.0).hold(plant, 7200.0, **yard)
    before = plant.bed.fuel_kg
    out = Textbook(121.0, gain=0.006, ti_s=2000.0).hold(plant, 7200.0, **yard)
    burnt = (before - plant.bed.fuel_kg) / 2.0
    lidded = copy.deepcopy(plant)
    fall = out["pit_c"] - run(lidded, 60.0, 0.0, dt_s=1.0, lid_open=True, **yard)["pit_c"]
    down = _down(copy.deepcopy(plant), yard)
    stone = until(plant, "stone_c", 260.0, exhaust=1.0, **yard) / 60.0
    peak = max(run(plant, 30.0, 0.0, exhaust=1.0, **yard)["stone_c"] for _ in range(40))
    return dict(zip(HEAD[1:], (up, burnt, stone, peak - 260.0, fall, down), strict=True))


def _down(plant: Any, yard: dict[str, float]) -> float:
    until(plant, "pit_c", 135.0, blower=0.7, **yard)
    seconds, crossed = 0.0, 0.0
    while plant.pit_c > 110.0 and seconds < 14400.0:
        run(plant, 10.0, 0.0, **yard)
        seconds += 10.0
        if plant.pit_c > 135.0:
            crossed = seconds
    return (seconds - crossed) / 60.0


def row(name: str) -> str:
    """One line of the table."""
    f = figures(name)
    shown = [f"{f[key]:.2f}" if key == "kg/h" else f"{f[key]:.0f}" for key in HEAD[1:]]
    return f"| {name} | " + " | ".join(shown) + " |"


if __name__ == "__main__":
    print("| " + " | ".join(HEAD) + " |")
    for entry in CATALOGUE:
        print(row(entry.name))
