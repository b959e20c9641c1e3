"""`emberdraft show COOK`: phases, pieces and figures of one cook."""

from __future__ import annotations

import argparse

from emberdraft.commands.common import add_cook, add_db, add_json, add_units, db_path, print_json, unit
from emberdraft.commands.record import cook_number, open_record
from emberdraft.review.figures import figures_of
from emberdraft.review.summary import summary_text
from emberdraft.review.why import why_of, why_words


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_cook(parser)
    add_db(parser)
    add_units(parser)
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the figures as text, or the same figures as one object."""
    with open_record(db_path(args)) as reader:
        cook_id = cook_number(reader, args.cook)
        figures, why = figures_of(reader, cook_id), why_of(reader, cook_id)
    if args.json:
        print_json(figures | {"why_not_hotter": why})
        return 0
    print(summary_text(figures, unit(args)), end="")
    if why is not None:
        print("\nWhy was the stone not hotter?")
        print("\n".join(f"  {line}" for line in why_words(why, unit(args))))
    return 0
