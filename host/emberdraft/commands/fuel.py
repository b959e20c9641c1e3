"""`emberdraft fuel PLAN`: how much charcoal a plan needs, with a band, and whether what you have lasts."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Any

from emberdraft import quantities
from emberdraft.commands.common import add_json, print_json
from emberdraft.daemon.plan import example_names, load_plan
from emberdraft.daemon.steps import stretches_of
from emberdraft.ready.fuel import FuelSaid, fuel_for


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("plan", metavar="PLAN", help=f"a plan file, or one of ours: {', '.join(example_names())}")
    parser.add_argument("--have", default=None, help="charcoal that is in it, with its unit: 2 kg, 4 lb")
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the band."""
    plan = load_plan(args.plan)
    said = fuel_for(stretches_of(plan), ambient_c=float(plan.ambient_c), wind_mps=float(plan.wind_mps))
    answer = answer_of(said, quantities.mass_kg(args.have) if args.have else None)
    if args.json:
        print_json(answer)
    else:
        print("\n".join(_lines(plan.name, answer)))
    return 0


def answer_of(said: FuelSaid, have_kg: float | None) -> dict[str, Any]:
    """All figures, units in the keys."""
    answer: dict[str, Any] = {
        "low_kg": round(said.low_kg, 2), "kg": round(said.kg, 2), "high_kg": round(said.high_kg, 2),
        "by_phase_kg": {name: round(kg, 2) for name, kg in said.by_phase_kg.items()},
        "to_light_with_kg": round(said.to_light_with_kg(), 1),
    }  # fmt: skip
    if said.hold_kgph == said.hold_kgph:  # a plan without a hold has no rate
        answer["hold_kg_per_h"] = round(said.hold_kgph, 3)
    if have_kg is not None:
        answer["have_kg"] = have_kg
        answer["enough"] = _enough(said, have_kg)
        if "hold_kg_per_h" in answer:
            answer["lasts_low_h"], answer["lasts_high_h"] = (round(s / 3600.0, 1) for s in said.lasts_s(have_kg))
    return answer


def _enough(said: FuelSaid, have_kg: float) -> str:
    if have_kg >= said.to_light_with_kg():
        return "yes"
    return "perhaps" if have_kg >= said.low_kg else "no"


def _lines(name: str, answer: dict[str, Any]) -> Iterator[str]:
    band = f"probably {answer['low_kg']:g} to {answer['high_kg']:g} kg"
    yield f"{name}: about {answer['kg']:g} kg of charcoal, {band}."
    yield "By phase: " + ", ".join(f"{phase} {kg:g} kg" for phase, kg in answer["by_phase_kg"].items()) + "."
    if "hold_kg_per_h" in answer:
        yield f"Holding takes about {answer['hold_kg_per_h']:g} kg an hour."
    yield f"Put in {answer['to_light_with_kg']:g} kg or more: not all of a bed burns, and a full bed does no harm."
    if "have_kg" in answer:
        words = {"yes": "That is enough", "perhaps": "That may run short", "no": "That is not enough"}
        yield f"You have {answer['have_kg']:g} kg. {words[answer['enough']]}."
        if "lasts_low_h" in answer:
            yield f"It holds for {answer['lasts_low_h']:g} to {answer['lasts_high_h']:g} hours after lighting."
    yield "For ceramic cookers of 30 to 60 cm; weigh what is left after a cook to know your own."
