"""`emberdraft export COOK --format csv|json`: the record of one cook, whole, for other tools."""

from __future__ import annotations

import argparse
import sys

from emberdraft.commands.common import add_cook, add_db, db_path
from emberdraft.commands.record import cook_number, open_record
from emberdraft.review.export import export_cook


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_cook(parser)
    parser.add_argument("--format", choices=("csv", "json"), default="csv", help="csv: readings; json: everything")
    parser.add_argument("-o", "--output", default="-", metavar="FILE", help="a file, or '-' for standard output")
    add_db(parser)


def main(args: argparse.Namespace) -> int:
    """Write the export; a file is whole or not there."""
    with open_record(db_path(args)) as reader:
        export_cook(reader, cook_number(reader, args.cook), args.format, args.output, sys.stdout)
    return 0
