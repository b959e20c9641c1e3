"""`emberdraft rehearse PLAN`: a plan on a simulated cooker, in lock-step, as fast as it goes."""

from __future__ import annotations

import argparse

from emberdraft.commands.common import add_db, add_json, add_units, print_json, unit
from emberdraft.commands.rehearse_text import rehearsal_text
from emberdraft.daemon.food_words import below_lines
from emberdraft.daemon.plan import example_names, load_plan
from emberdraft.daemon.rehearse import rehearse
from emberdraft.said import render


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("plan", metavar="PLAN", help=f"a plan file, or one of ours: {', '.join(example_names())}")
    parser.add_argument("--plant", metavar="FILE.py:Class", default=None, help="a simulated cooker of your own")
    parser.add_argument("--interpreter", choices=("cpython", "micropython"), default=None,
                        help="micropython: the whole firmware on the virtual board, not only its core")  # fmt: skip
    parser.add_argument("--seed", type=int, default=0, help="weather and noise (default 0)")
    add_db(parser)
    add_units(parser)
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Run it and print the summary; with --db it is recorded like a cook."""
    plan = load_plan(args.plan)
    summary = rehearse(plan, args.plant, args.db, args.interpreter, args.seed)
    if args.json:
        print_json(summary)
    else:
        print(rehearsal_text(summary, unit(args)), end="")
        print("".join(f"{render(line, unit(args))}\n" for line in below_lines(plan)), end="")
    return 0
