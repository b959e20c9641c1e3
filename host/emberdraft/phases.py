"""The phases of a cook in their order: a plan has a table for each, a record keeps their names.

The board knows the same names (`emberboard/core/words.py`); of which steps a phase is made is in `daemon/steps.py`.
"""

from __future__ import annotations

from typing import NamedTuple


class Phase(NamedTuple):
    """`holds` is what is kept at a target, 'pit' or 'stone'; nothing while the fire is put out."""

    name: str
    holds: str | None
    tables: tuple[str, ...]


PHASES = {
    phase.name: phase
    for phase in (
        Phase("light", "pit", ("light",)),
        Phase("soak", "pit", ("soak", "set_up")),
        Phase("slow", "pit", ("slow",)),
        Phase("climb", "stone", ("climb",)),
        Phase("sear", "stone", ("sear",)),
        Phase("bank", None, ("bank",)),
    )
}
# The tables of a plan that belong to its phases, in the order of a cook.
TABLES = tuple(table for phase in PHASES.values() for table in phase.tables)


def held_in(name: str) -> str | None:
    """What is held at a target in a phase; None for nothing, and for a name that is no phase."""
    return PHASES[name].holds if name in PHASES else None
