"""`emberdraft again COOK [-o FILE]`: the plan of a cook again, and of what was done otherwise only what is taken."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from emberdraft.commands.common import add_cook, add_db, add_json, db_path, print_json
from emberdraft.commands.record import cook_number, open_record
from emberdraft.daemon.plan import parse_plan
from emberdraft.errors import UserError
from emberdraft.review.again import Again, Difference, again_of


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_cook(parser)
    parser.add_argument("-o", "--output", default="-", metavar="FILE", help="a file, or '-' for standard output")
    parser.add_argument(
        "--take", action="append", metavar="ID",
        help="take this difference of what was done into the plan; 'all' takes each (default: asked for, else none)",
    )  # fmt: skip
    add_db(parser)
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the plan, with what was done otherwise as remarks at its head; or write it."""
    with open_record(db_path(args)) as reader:
        number = cook_number(reader, args.cook)
        made = again_of(reader, number, args.take or ())
        if args.take is None and sys.stdin.isatty():
            made = again_of(reader, number, _asked(made.differences))
    parse_plan(made.text, where=f"the plan made from cook {number}")
    if args.output != "-":
        _write(Path(args.output), made)
    if args.json:
        print_json(made._asdict() | {"differences": [one._asdict() for one in made.differences]})
    elif args.output == "-":
        print(made.text, end="")
    else:
        lines = [f"{'taken' if one.taken else 'left'}  {one.id}  {one.text}" for one in made.differences]
        print("\n".join([*lines, f"Written: {args.output}"]))
    return 0


def _asked(differences: list[Difference]) -> list[str]:
    """Which of them a person at the terminal takes; Enter leaves it as it was planned."""
    taken = []
    for id in dict.fromkeys(one.id for one in differences):
        lines = "\n".join(one.text for one in differences if one.id == id)
        print(f"{lines}\nTake it? y, or Enter to leave it as planned: ", end="", file=sys.stderr, flush=True)
        if sys.stdin.readline().strip().lower() in ("y", "yes"):
            taken.append(id)
    return taken


def _write(path: Path, made: Again) -> None:
    if path.exists():
        raise UserError(f"{path}: there is a file of that name; name another")
    try:
        path.write_text(made.text, encoding="utf-8")
    except OSError as error:
        raise UserError(f"{path}: {error.strerror}; name a file that can be written") from None
