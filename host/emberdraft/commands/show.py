"""`emberdraft show COOK`: phases, pieces and figures of one cook."""

from __future__ import annotations

import argparse

from emberdraft.commands.common import add_cook, add_db, add_json, add_units, db_path, print_json, unit
from emberdraft.commands.record import cook_number, open_record
from emberdraft.review.figures import figures_of
from emberdraft.review.summary import summary_text


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_cook(parser)
    add_db(parser)
    add_units(parser)
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the figures as text, or the same figures as one object."""
    with open_record(db_path(args)) as reader:
        figures = figures_of(reader, cook_number(reader, args.cook))
    if args.json:
        print_json(figures)
    else:
        print(summary_text(figures, unit(args)), end="")
    return 0
