"""`emberdraft export COOK --format csv|json|parquet`: the record of one cook, whole, for other tools."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from emberdraft.commands.common import add_cook, add_db, db_path
from emberdraft.commands.record import cook_number, open_record
from emberdraft.errors import UserError
from emberdraft.review.export import export_cook, write_bytes
from emberdraft.review.parquet import parquet_bytes


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_cook(parser)
    kinds = "csv: readings, with -o the rest beside it as .rest.json; json: everything; parquet: both (an extra)"
    parser.add_argument("--format", choices=("csv", "json", "parquet"), default="csv", help=kinds)
    parser.add_argument("-o", "--output", default="-", metavar="FILE", help="a file, or '-' for standard output")
    add_db(parser)


def main(args: argparse.Namespace) -> int:
    """Write the export; a file is whole or not there."""
    with open_record(db_path(args)) as reader:
        cook_id = cook_number(reader, args.cook)
        if args.format == "parquet":
            _parquet(parquet_bytes(reader, cook_id), args.output)
        else:
            export_cook(reader, cook_id, args.format, args.output, sys.stdout)
    return 0


def _parquet(data: bytes, target: str) -> None:
    """A packed format never goes to a terminal by mistake: a file must be named."""
    if target == "-" and sys.stdout.isatty():
        raise UserError("--format parquet: not for a terminal; name a file with -o FILE")
    if target == "-":
        sys.stdout.buffer.write(data)
    else:
        write_bytes(Path(target), [data])
