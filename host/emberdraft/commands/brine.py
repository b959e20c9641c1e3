"""`emberdraft brine`: how much salt, and how far it gets by when. A band, because the sources differ."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Any

from emberdraft import quantities
from emberdraft.commands.common import add_json, print_json
from emberdraft.food import brine

SAID_HOURS = (2.0, 12.0, 24.0, 48.0, 72.0)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("--mass", required=True, help="of the meat, with its unit: 450g, 1 lb")
    parser.add_argument("--thickness", required=True, help="of the cut, with its unit: 35mm, 1.5in")
    parser.add_argument("--dose", default="1%", help="salt on the meat's mass (default 1%%)")
    parser.add_argument("--hours", type=float, default=None, help="how long you have")
    parser.add_argument("--salt", choices=sorted(brine.TEASPOON_G), default=None, help="to be told teaspoons as well")
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the plan."""
    plan = plan_of(args)
    if args.json:
        print_json(plan)
    else:
        print("\n".join(_lines(plan, args.salt)))
    return 0


def plan_of(args: argparse.Namespace) -> dict[str, Any]:
    """All figures, units in the keys."""
    mass_kg, thickness_m = quantities.mass_kg(args.mass), quantities.length_m(args.thickness)
    dose = quantities.share(args.dose)
    salt_g = brine.dose_g(mass_kg, dose)
    hours = sorted({*SAID_HOURS, *([args.hours] if args.hours else [])})
    rows = [{"hours": h, **vars(brine.reach(thickness_m, h))} for h in hours]
    return {
        "salt_g": round(salt_g, 2),
        "dose_share": dose,
        "dose_said": brine.dose_band(dose),
        "teaspoons": round(brine.teaspoons(salt_g, args.salt), 2) if args.salt else None,
        "centre_over_mean": rows,
        "hours_to_80_percent": round(brine.hours_until(thickness_m, 0.8), 1),
        "sources": [vars(source) for source in brine.SOURCES],
    }


def _lines(plan: dict[str, Any], salt: str | None) -> Iterator[str]:
    yield f"Salt: {plan['salt_g']:g} g ({100 * plan['dose_share']:g} % of the meat: {plan['dose_said']})."
    if salt:
        yield f"About {plan['teaspoons']:g} level teaspoons of {salt} salt; weighing is surer."
    yield "Half on each face, uncovered, at 4 °C or less; the surface dries, which helps the sear."
    yield ""
    yield "Salt at the centre, as a share of the mean (lowest source, design value, highest source):"
    for row in plan["centre_over_mean"]:
        yield f"  {row['hours']:4g} h   {row['low']:4.0%}   {row['design']:4.0%}   {row['high']:4.0%}"
    yield f"By the design value the centre has 80 % of the mean after {plan['hours_to_80_percent']:g} h."
    yield "Published coefficients differ up to 70-fold (fibre direction, fat, how the salt was put on): only tasting or"
    yield "weighing slices of your own narrows it. 24 h is usual (common practice, no source)."
