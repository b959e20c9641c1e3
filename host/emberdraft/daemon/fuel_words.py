"""What is said of the charcoal: what all of it takes, what has burnt, whether what was put in lasts."""

from __future__ import annotations

from typing import Any

from emberdraft.quantities import say_number
from emberdraft.ready.fuel import FuelSaid

Row = dict[str, Any]


def fuel_row(said: FuelSaid, have_kg: float | None) -> Row:
    """All figures, units in the keys, and the same in sentences."""
    row: Row = {"low_kg": said.low_kg, "kg": said.kg, "high_kg": said.high_kg, "burnt_kg": said.burnt_kg}
    return {name: round(value, 2) for name, value in row.items()} | {
        "have_kg": have_kg,
        "lines": fuel_lines(said, have_kg),
    }


def fuel_lines(said: FuelSaid, have_kg: float | None) -> list[str]:
    """What it takes, what has burnt, whether what was put in lasts."""
    between = f"probably {_kg(said.low_kg)} to {_kg(said.high_kg)}"
    lines = [f"All of it takes about {_kg(said.kg)} of charcoal, {between}."]
    if said.burnt_kg > 0.0:
        lines.append(f"So far about {_kg(said.burnt_kg)} has burnt, by the oxygen that was taken up.")
    lines.append(_lasts(said, have_kg))
    return lines


def _lasts(said: FuelSaid, have_kg: float | None) -> str:
    if have_kg is None:
        least = f"Put in {_kg(said.to_light_with_kg())} or more"
        return f"{least}. With the mass in the plan ([light] charcoal) it is watched whether that lasts."
    if have_kg >= said.to_light_with_kg():
        return f"{_kg(have_kg)} is in it: that is enough."
    return f"{_kg(have_kg)} is in it: that {'may run short' if have_kg >= said.low_kg else 'is not enough'}."


def _kg(value: float) -> str:
    return f"{say_number(value, 1)}\u00a0kg"
