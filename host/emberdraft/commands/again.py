"""`emberdraft again COOK [-o FILE]`: a plan made from what was really done in a cook."""

from __future__ import annotations

import argparse
from pathlib import Path

from emberdraft.commands.common import add_cook, add_db, add_json, db_path, print_json
from emberdraft.commands.record import cook_number, open_record
from emberdraft.daemon.plan import parse_plan
from emberdraft.errors import UserError
from emberdraft.review.again import Again, again_of


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_cook(parser)
    parser.add_argument("-o", "--output", default="-", metavar="FILE", help="a file, or '-' for standard output")
    add_db(parser)
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the plan, with what differs from the first one as remarks at its head; or write it."""
    with open_record(db_path(args)) as reader:
        number = cook_number(reader, args.cook)
        made = again_of(reader, number)
    parse_plan(made.text, where=f"the plan made from cook {number}")
    if args.output != "-":
        _write(Path(args.output), made)
    if args.json:
        print_json(made._asdict())
    elif args.output == "-":
        print(made.text, end="")
    else:
        print("\n".join([*made.changes, f"Written: {args.output}"]))
    return 0


def _write(path: Path, made: Again) -> None:
    if path.exists():
        raise UserError(f"{path}: there is a file of that name; name another")
    try:
        path.write_text(made.text, encoding="utf-8")
    except OSError as error:
        raise UserError(f"{path}: {error.strerror}; name a file that can be written") from None
