"""Dry brining: how much salt, how long, and how far it gets. A band over the published diffusion coefficients.

The dose is put on both faces of a slab and none is lost. Exact solution for a plane source on each face (Crank, The
Mathematics of Diffusion, 1975; formula from memory, values checked in the tests): with L the half thickness, x from the
face and Fo = D t / L^2,  C / C_mean = 1 + 2 sum exp(-n^2 pi^2 Fo) cos(n pi x / L).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from emberdraft.errors import UserError
from emberdraft.said import Temperature, Text, said

TERMS = 400
BETWEEN = 24


@dataclass(frozen=True)
class Source:
    """An effective diffusion coefficient of NaCl in meat, m2/s, and where it stands."""

    low_m2s: float
    high_m2s: float
    where: str
    paper: str
    usable: bool = True


# They differ up to 70-fold: fibre direction, fat, how the salt was put on, and what "effective" was fitted to.
SOURCES = (
    Source(1.62e-10, 2.18e-10, "pork loin slices, 5 degC",
           "Influence of Brine Concentration on Moisture and NaCl Transport During Meat Salting (Springer, 2015)"),
    Source(0.25e-10, 0.26e-10, "beef trapezius slabs, wet salting, 10-20 degC",
           "Mass transfer and diffusion coefficient determination in the wet and dry salting of meat"),
    Source(1.4e-10, 9.4e-10, "beef, electrically stimulated curing",
           "Polish Journal of Food and Nutrition Sciences 48 (1998) 59"),
    Source(17.21e-10, 19.37e-10, "beef slabs in a bed of dry salt, 10-20 degC: apparent, the bed pushes",
           "Mass transfer and diffusion coefficient determination in the wet and dry salting of meat", usable=False),
)  # fmt: skip
DESIGN_M2S = 2.0e-10
FREE_WATER_5C_M2S = 0.9e-9  # NaCl in plain water at 5 degC: nothing in meat can be quicker (from memory)

# Grams in a level teaspoon, by kind. Cooking sites, not measured by us: weigh if you can.
TEASPOON_G = {"table": 6.0, "dense kosher": 4.8, "flake kosher": 2.8}

# Salt on the mass of the meat: up to this share, what people say of it, and who says so.
_COOKS = "cooking sites, no academic source"
DOSE_BANDS = (
    (0.003, "hardly to be tasted", _COOKS),
    (0.008, "light", f"{_COOKS}: 0.5 to 0.8 % for steaks"),
    (0.0125, "usual for steaks and chops", "1.0 % the most acceptable of beef patties with 0.5 to 1.5 % (25 people, "
     "Meat Science 91 (2012) 460); cooking sites say 1 %"),
    (0.0175, "clearly salty; usual for large roasts", "1.0 and 1.4 % the most acceptable of pork sausages with 0.8 to "
     "2.4 % (25 people, Meat Science 93 (2013) 145); cooking sites say 1.5 % for thick roasts"),
    (0.025, "too salty for most people", "256 people took corned beef near 1.6 % and liked the saltier usual one least "
     "(Meat Science 154 (2019) 1)"),
    (1.0, "curing, not seasoning", "common practice, no source"),
)  # fmt: skip
DAY_SALT_G = 5.0  # adults: less than this a day (WHO, Guideline: Sodium intake for adults and children, 2012)
PORTION_KG = 0.2
WHY_THEY_DIFFER: tuple[Text, ...] = (
    "Along and across the fibres differ: of nitrate in pork up to 200-fold (J. Food Engineering 214 (2017) 69).",
    "Each number is fitted to its own picture: a bed of dry salt draws water out and pushes brine in, and the "
    "coefficient has to stand for all of it.",
    "Fat and water differ between cuts: salt goes through water, not through fat.",
    said(
        "Temperature matters less here: pork at {low} to {high} took up no differently (SINTEF, of water).",
        low=Temperature(0.0),
        high=Temperature(6.0),
    ),
)
COLD_C = 4.0


def dose_g(mass_kg: float, dose: float) -> float:
    """Grams of salt for a mass in kg and a dose as a fraction of it. Raises UserError outside 0.1 to 5 %."""
    if not 0.001 <= dose <= 0.05:
        raise UserError(f"dose {100 * dose:g} %: 0.1 % to 5 % of the meat's mass would be right; 1 % is usual")
    if not 0.0 < mass_kg <= 30.0:
        raise UserError(f"mass {mass_kg:g} kg: above 0 and at most 30 kg would be right")
    return 1000.0 * mass_kg * dose


def teaspoons(salt_g: float, kind: str | None) -> float:
    """How many level teaspoons of a named kind. Without a kind there is no answer: they differ twofold."""
    if kind not in TEASPOON_G:
        raise UserError(f"salt {kind!r}: a teaspoon holds 2.8 to 6 g; name one of {', '.join(TEASPOON_G)}, or weigh it")
    return salt_g / TEASPOON_G[kind]


def band_of(dose: float) -> tuple[str, str]:
    """What people say of such a dose, and who says so."""
    return next((words, source) for limit, words, source in DOSE_BANDS if dose <= limit)


def concentration(depth_share: float, fo: float) -> float:
    """C / C_mean at depth x / L (0 face, 1 centre) and Fourier number. Positive; mass is conserved."""
    if fo <= 0.0:
        return 0.0 if depth_share > 0.0 else math.inf
    if fo < 0.05:
        return _short_time(depth_share, fo)
    terms = range(1, TERMS)
    series = sum(math.exp(-((n * math.pi) ** 2) * fo) * math.cos(n * math.pi * depth_share) for n in terms)
    return 1.0 + 2.0 * series


def _short_time(depth_share: float, fo: float) -> float:
    """The same by images, the face's own and the other's: the series converges badly while the salt is near them.

    The next one, two thicknesses off, adds 2e-9 of what is there at most.
    """
    return sum(math.exp(-((depth_share - face) ** 2) / (4.0 * fo)) for face in (0.0, 2.0)) / math.sqrt(math.pi * fo)


@dataclass(frozen=True)
class Reach:
    """Salt at the centre over the mean, 0 none to 1 even: band over the usable sources, and the design value."""

    low: float
    design: float
    high: float


def reach(thickness_m: float, hours: float, depth_share: float = 1.0, band: tuple[float, ...] = ()) -> Reach:
    """How even the salt is after `hours` in a cut of `thickness_m`, salted on both faces.

    `band`: lowest, likeliest and highest coefficient in m2/s; without it, that of the sources. Between face and centre
    neither end of it need give the least or the most salt, so coefficients between are looked at as well.
    """
    check_cut(thickness_m, hours)
    low_m2s, likely_m2s, high_m2s = band or source_band()
    tried = [low_m2s * (high_m2s / low_m2s) ** (k / BETWEEN) for k in range(BETWEEN + 1)]
    values = [concentration(depth_share, fourier(d, hours, thickness_m)) for d in (*tried, likely_m2s)]
    return Reach(min(values), values[-1], max(values))


def source_band() -> tuple[float, float, float]:
    """Lowest, design and highest coefficient over the usable sources, m2/s."""
    usable = [source for source in SOURCES if source.usable]
    return min(s.low_m2s for s in usable), DESIGN_M2S, max(s.high_m2s for s in usable)


def check_cut(thickness_m: float, hours: float) -> None:
    """Raises UserError for a cut or a time this is not made for."""
    if not 0.005 <= thickness_m <= 0.30:
        raise UserError(f"thickness {1000 * thickness_m:g} mm: 5 to 300 mm would be right")
    if not 0.0 < hours <= 1000.0:
        raise UserError(f"hours {hours:g}: above 0 and at most 1000 would be right")


def fourier(diffusion_m2s: float, hours: float, thickness_m: float) -> float:
    """Fourier number of a slab salted on both faces."""
    return diffusion_m2s * hours * 3600.0 / (thickness_m / 2.0) ** 2


def hours_until(thickness_m: float, share: float, diffusion_m2s: float = DESIGN_M2S) -> float:
    """Hours until the centre has `share` of the mean concentration (bisection; the centre only rises)."""
    low, high = 0.0, 5.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if concentration(1.0, middle) < share else (low, middle)
    return high * (thickness_m / 2.0) ** 2 / diffusion_m2s / 3600.0
