"""`emberdraft report COOK -o FILE.html|png|pdf`: one cook as a page to keep."""

from __future__ import annotations

import argparse

from emberdraft.commands.common import add_cook, add_db, add_units, db_path, unit
from emberdraft.commands.record import cook_number, open_record
from emberdraft.review.report import write_report


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_cook(parser)
    parser.add_argument("-o", "--output", required=True, metavar="FILE", help="its ending says what: .html, .png, .pdf")
    add_db(parser)
    add_units(parser)


def main(args: argparse.Namespace) -> int:
    """Write it; the file is whole or not there."""
    with open_record(db_path(args)) as reader:
        write_report(reader, cook_number(reader, args.cook), args.output, unit(args))
    print(f"Written: {args.output}")
    return 0
