"""`emberdraft brine`: how much salt, and how far it gets by when. A band, because the sources differ."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Any

from emberdraft import quantities
from emberdraft.commands.common import add_json, print_json
from emberdraft.food import brine
from emberdraft.food.brine_plan import plan_of


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("--mass", required=True, help="of the meat, with its unit: 450g, 1 lb")
    parser.add_argument("--thickness", required=True, help="of the cut, with its unit: 35mm, 1.5in")
    parser.add_argument("--dose", default="1%", help="salt on the meat's mass (default 1%%)")
    parser.add_argument("--hours", type=float, default=24.0, help="how long you have (default 24)")
    parser.add_argument("--salt", choices=sorted(brine.TEASPOON_G), default=None, help="to be told teaspoons as well")
    parser.add_argument("--fridge", default="4C", metavar="TEMP", help="its air, with its unit (default 4C)")
    parser.add_argument(
        "--centre",
        nargs=2,
        metavar=("LEAST", "MOST"),
        help="salt of a middle slice after --hours, on the mean",
    )
    parser.add_argument("--slice", default="5mm", help="how thick that slice was (default 5mm)")
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the plan."""
    centre = None if args.centre is None else (quantities.share(args.centre[0]), quantities.share(args.centre[1]))
    plan = plan_of(
        quantities.mass_kg(args.mass), quantities.length_m(args.thickness), quantities.share(args.dose), args.hours,
        args.salt, quantities.temperature_c(args.fridge), centre, quantities.length_m(args.slice),
    )  # fmt: skip
    if args.json:
        print_json(plan)
    else:
        print("\n".join(_lines(plan, args.salt)))
    return 0


def _lines(plan: dict[str, Any], salt: str | None) -> Iterator[str]:
    yield f"Salt: {plan['salt_g']:g} g ({100 * plan['dose_share']:g} % of the meat: {plan['dose_said']})."
    if salt:
        yield f"About {plan['teaspoons']:g} level teaspoons of {salt} salt; weighing is surer."
    yield f"Half on each face, uncovered, at {brine.COLD_C:g} °C or less."
    if plan["too_warm"]:
        yield f"Caution: {plan['fridge_c']:g} °C is too warm to keep meat; {brine.COLD_C:g} °C or less would be right."
    yield ""
    yield from _reach(plan)
    yield ""
    yield from _fridge(plan)
    yield ""
    yield from _doses(plan)


def _reach(plan: dict[str, Any]) -> Iterator[str]:
    low, likely, high = plan["diffusion_m2s"]
    yield "Salt at the centre, as a share of the mean (least, likely, most):"
    for row in plan["centre_over_mean"]:
        yield f"  {row['hours']:5g} h   {row['low']:4.0%}   {row['design']:4.0%}   {row['high']:4.0%}"
    yield f"After {plan['hours']:g} h, from the face to the centre:"
    for row in plan["profile"][::4]:
        depth_mm = 500.0 * plan["thickness_m"] * row["depth_share"]
        yield f"  {depth_mm:5.1f} mm  {row['low']:4.0%}   {row['design']:4.0%}   {row['high']:4.0%}"
    first, middle, last = plan["hours_to_80_percent"]
    yield f"The centre has 80 % of the mean after about {middle:.0f} h; {first:.0f} to {last:.0f} h by the band."
    yield f"Coefficients {low:.2g} to {high:.2g} m2/s, {likely:.2g} the likeliest."
    if plan["narrowed"]:
        yield "That is what your slice from the middle leaves of the sources' band; another slice narrows it further."
        return
    yield "Published coefficients differ up to 70-fold:"
    yield from (f"  {line!s}" for line in plan["why_they_differ"])
    yield "A slice from the middle of your own, tasted beside slices of known salt or weighed, narrows it: --centre."
    yield "24 h is usual (common practice, no source)."


def _fridge(plan: dict[str, Any]) -> Iterator[str]:
    low, likely, high = plan["fridge_loss_g"]
    yield (
        f"Uncovered for {plan['hours']:g} h at {plan['fridge_c']:g} °C it gives off about {likely:g} g ({low:g} to "
        f"{high:g} g): the face dries, which helps the sear. An estimate: weigh it before and after."
    )


def _doses(plan: dict[str, Any]) -> Iterator[str]:
    yield "How much is too much:"
    for row in plan["doses"][:-1]:
        yield f"  up to {100 * row['up_to_share']:g} %: {row['said']} ({row['source']})"
    yield f"  above: {plan['doses'][-1]['said']} ({plan['doses'][-1]['source']})"
    yield (
        f"A portion of {1000 * brine.PORTION_KG:g} g has {plan['portion_salt_g']:g} g of salt; the WHO advises adults "
        f"less than {plan['day_salt_g']:g} g a day."
    )
