"""What a cut is: how its size follows from its mass, how round it is, and how its face dries.

Sizes, roundness and the share of its mass that a large cut gives off are common practice, no source. How wet a face is
was set so that the medians stand at what handbooks say (tests/evening/test_bodies.py names them).
"""

from __future__ import annotations

from dataclasses import dataclass

from emberdraft.food.forecast import NO_SIZE

DENSITY_KGM3 = 1050.0
THICK_M = 0.06  # what is thicker and not named is a roast
HEAVY_KG = 1.2  # and so it is where only the mass is known
TENDER_C = 80.0  # no lean piece is cooked that far: collagen melts (common practice, no source)
THICKNESS_SPREAD, MASS_SPREAD = 0.10, 0.13  # log, of the half thickness


@dataclass(frozen=True)
class Kind:
    """`bulk`: volume over the cube of the thickness; `shape`: 0 slab, 1 cylinder, 2 sphere.

    `wet`: how wet the face is at first, 1 open water (crust, fat and skin hold the rest back); it falls to `dry_floor`
    of that as the piece gives off the share `gives` of its mass. A `large` cut dries wholly: until then it is held up.
    """

    bulk: float
    shape: float
    wet: float = 0.34
    gives: float = 0.15
    dry_floor: float = 0.2
    large: bool = False

    @property
    def needs_size(self) -> bool:
        """Whether it comes in so many sizes that nothing can be said without mass or thickness."""
        return self not in (KINDS["chop"], KINDS["steak"])


def _large(bulk: float, shape: float) -> Kind:
    return Kind(bulk, shape, 0.22, 0.32, 0.02, True)


KINDS: dict[str, Kind] = {
    "chop": Kind(7.0, 0.6),
    "steak": Kind(7.0, 0.6),
    "bird": Kind(5.0, 1.0, 0.12),
    "split bird": Kind(16.0, 0.4, 0.12),
    "ribs": _large(46.0, 0.1),
    "shoulder": _large(2.2, 1.3),
    "brisket": _large(11.0, 0.4),
    "roast": Kind(6.0, 1.0),
}


def cut_of(named: str | None, thickness_m: float | None, mass_kg: float | None, pull_c: float) -> str:
    """The cut that the plan names; else by thickness: a thick one is a roast, one pulled when tender a shoulder."""
    if named is not None:
        return named
    thick = (mass_kg or 0.0) >= HEAVY_KG if thickness_m is None else thickness_m >= THICK_M
    if not thick:
        return "chop"
    return "shoulder" if pull_c >= TENDER_C else "roast"


def half_m(cut: str, thickness_m: float | None, mass_kg: float | None) -> tuple[float, float]:
    """Half thickness in m and its log spread: by thickness, else by mass, else wide."""
    if thickness_m is not None:
        return thickness_m / 2.0, THICKNESS_SPREAD
    if mass_kg is not None:
        return 0.5 * (mass_kg / DENSITY_KGM3 / KINDS[cut].bulk) ** (1.0 / 3.0), MASS_SPREAD
    return NO_SIZE


def footprint_m2(cut: str, thickness_m: float | None, mass_kg: float | None) -> float:
    """What it covers of the grate: its volume over its thickness; of a size that is not known by its usual shape."""
    thick_m = 2.0 * half_m(cut, thickness_m, mass_kg)[0]
    return mass_kg / DENSITY_KGM3 / thick_m if mass_kg is not None else KINDS[cut].bulk * thick_m**2


def slab_m(cut: str, mass_kg: float) -> float:
    """Thickness of the slab that heats as long: a cylinder takes about half as long as a slab, a sphere a third."""
    return float(2.0 * half_m(cut, None, mass_kg)[0] / (1.0 + KINDS[cut].shape) ** 0.5)
