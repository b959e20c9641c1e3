"""Our simulated cookers by name, and which of them a controller may be tuned on.

A search over the cookers it is tuned on finds their weaknesses, not the controller's strength: the
validation ones are for the last look, and their constants are never to be looked at while tuning.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from emberdraft.errors import UserError
from emberdraft.plant.cooker import Cooker
from emberdraft.plant.heavy_ceramic import HeavyCeramic
from emberdraft.plant.leaky_ceramic import LeakyCeramic
from emberdraft.plant.muffle import Muffle
from emberdraft.plant.small_ceramic import SmallCeramic
from emberdraft.plant.thin_steel import ThinSteel
from emberdraft.plant.two_zone import TwoZone

TUNING = "tuning"
VALIDATION = "validation"


@dataclass(frozen=True)
class Entry:
    """A cooker's class, what it is for, and in a few words what sets it apart."""

    name: str
    kind: type[Cooker]
    use: str
    apart: str


CATALOGUE: tuple[Entry, ...] = (
    Entry("heavy_ceramic", HeavyCeramic, TUNING, "thick walls, one zone, bed that grows and starves slowly"),
    Entry("leaky_ceramic", LeakyCeramic, TUNING, "drifting leaks both ways, air past the bed, probe in the dome"),
    Entry("small_ceramic", SmallCeramic, TUNING, "damp fuel, creeping front, ash, flare on opening"),
    Entry("muffle", Muffle, TUNING, "minutes of dead time, hot floor that coasts"),
    Entry("two_zone", TwoZone, VALIDATION, "the stone sees the fire, the pit does not; gas slips past"),
    Entry("thin_steel", ThinSteel, VALIDATION, "light steel, Arrhenius pieces, wind through the seam"),
)
BY_NAME: dict[str, Entry] = {entry.name: entry for entry in CATALOGUE}


def entry(name: str) -> Entry:
    """The entry of that name, or a sentence that lists what there is."""
    if name not in BY_NAME:
        raise UserError(f"no cooker '{name}'; there are {', '.join(BY_NAME)}")
    return BY_NAME[name]


def draw(name: str, seed: int) -> dict[str, float]:
    """Widely spread constants for a cooker, as overrides; the same for a seed."""
    return entry(name).kind.draw(seed)


def make(name: str, draw_seed: int = 0, seed: int = 0, **overrides: Any) -> Cooker:
    """A cooker; `draw_seed` 0 is the plant as its file describes it, any other draws its constants."""
    drawn = draw(name, draw_seed) if draw_seed else {}
    return entry(name).kind(seed, **{**drawn, **overrides})
