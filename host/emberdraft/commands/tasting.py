"""`emberdraft tasting triangle|duo-trio|preference`: what a blind tasting showed, and what it could have shown."""

from __future__ import annotations

import argparse
import math
from typing import Any

from emberdraft.commands.common import add_json, print_json
from emberdraft.trials import tasting


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("method", choices=sorted(tasting.METHODS), help="how it was tasted")
    parser.add_argument(
        "--correct", type=int, required=True, metavar="K", help="right answers, or who preferred the one"
    )
    parser.add_argument("--total", type=int, required=True, metavar="N", help="all answers")
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the verdict and the figures behind it."""
    figures = figures_of(tasting.METHODS[args.method], args.correct, args.total)
    if args.json:
        print_json(figures)
        return 0
    print(figures["verdict"])
    if figures["fewest_correct_5_percent"] is None:
        return 0
    print(f"Share who really tell them apart: about {100 * figures['discriminators_share']:.0f} %.")
    distance = figures["d_prime"]
    print(f"Sensory distance d': {'not to be told, all answers agree' if distance is None else f'{distance:.2f}'}.")
    print(f"To find half of the people telling them apart, 95 times in 100: {figures['panel_for_half']} tasters.")
    return 0


def figures_of(method: tasting.Method, correct: int, total: int) -> dict[str, Any]:
    """Everything the tasting says."""
    p_value = tasting.p_value(method, correct, total)
    distance = tasting.d_prime(method, correct, total)
    return {
        "method": method.name,
        "correct": correct,
        "total": total,
        "p_value": p_value,
        "fewest_correct_5_percent": tasting.fewest_correct(method, total, 0.05),
        "discriminators_share": tasting.discriminators(method, correct, total),
        "d_prime": distance if math.isfinite(distance) else None,
        "panel_for_half": tasting.panel_for(method, 0.05, 0.05, 0.5),
        "verdict": tasting.verdict(method, correct, total),
    }
