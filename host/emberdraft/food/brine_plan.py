"""A dry-brine plan as one object: what `emberdraft brine` prints and the page shows. Units in the keys."""

from __future__ import annotations

import math
from typing import Any

from emberdraft.food import brine, centre_slice, fridge

SAID_HOURS = (0.75, 2.0, 12.0, 24.0, 48.0, 72.0)
DEPTHS = tuple(k / 16 for k in range(17))


def plan_of(
    mass_kg: float,
    thickness_m: float,
    dose: float,
    hours: float = 24.0,
    salt: str | None = None,
    air_c: float = brine.COLD_C,
    centre: tuple[float, float] | None = None,
    slice_m: float = 0.005,
) -> dict[str, Any]:
    """All figures. `centre`: what a middle slice was found to have after `hours`, as shares of the mean.

    Raises UserError with the value and what would be right.
    """
    brine.check_cut(thickness_m, hours)
    band = brine.source_band() if centre is None else centre_slice.narrowed(thickness_m, hours, centre, slice_m)
    return {
        **_salt(mass_kg, dose, salt),
        **_reach(thickness_m, hours, band),
        "narrowed": centre is not None,
        **_fridge(mass_kg, thickness_m, hours, air_c),
        "sources": [vars(source) for source in brine.SOURCES],
        "why_they_differ": list(brine.WHY_THEY_DIFFER),
    }


def _salt(mass_kg: float, dose: float, salt: str | None) -> dict[str, Any]:
    """How much, in g and spoons, and what is said of such a dose."""
    salt_g = brine.dose_g(mass_kg, dose)
    said, source = brine.band_of(dose)
    return {
        "salt_g": round(salt_g, 2),
        "dose_share": dose,
        "dose_said": said,
        "dose_source": source,
        "doses": [{"up_to_share": limit, "said": words, "source": who} for limit, words, who in brine.DOSE_BANDS],
        "portion_salt_g": round(1000.0 * brine.PORTION_KG * dose, 2),
        "day_salt_g": brine.DAY_SALT_G,
        "teaspoons": round(brine.teaspoons(salt_g, salt), 2) if salt else None,
    }


def _reach(thickness_m: float, hours: float, band: tuple[float, float, float]) -> dict[str, Any]:
    """How far it gets by when, for the least, likeliest and most of the band (m2/s)."""
    moments = sorted({*SAID_HOURS, hours})
    return {
        "hours": hours,
        "thickness_m": thickness_m,
        "diffusion_m2s": list(band),
        "depth_m": [math.sqrt(d * hours * 3600.0) for d in band],
        "centre_over_mean": [{"hours": h, **vars(brine.reach(thickness_m, h, 1.0, band))} for h in moments],
        "profile": [{"depth_share": x, **vars(brine.reach(thickness_m, hours, x, band))} for x in DEPTHS],
        "hours_to_80_percent": [round(brine.hours_until(thickness_m, 0.8, d), 1) for d in reversed(band)],
    }


def _fridge(mass_kg: float, thickness_m: float, hours: float, air_c: float) -> dict[str, Any]:
    """What it gives off uncovered at `air_c`: low, likely, high."""
    shares = fridge.loss_share(mass_kg, thickness_m, hours, air_c)
    return {
        "fridge_c": air_c,
        "fridge_loss_share": list(shares),
        "fridge_loss_g": [round(1000.0 * mass_kg * share, 1) for share in shares],
        "cold_c": brine.COLD_C,
        "too_warm": air_c > brine.COLD_C,
    }
