"""`emberdraft vents COOKER --pit 121C`: how far to open the top vent, from that cooker's own cooks."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from emberdraft import quantities
from emberdraft.commands.common import add_db, add_json, add_units, db_path, print_json, unit
from emberdraft.commands.record import open_record
from emberdraft.config import load_config
from emberdraft.daemon.vents_known import NOTHING_KNOWN, Learnt, learnt, opening_of, vent_lines
from emberdraft.errors import UserError
from emberdraft.said import render


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("cooker", metavar="COOKER", help="its name in the record")
    parser.add_argument("--pit", required=True, help="what it should hold, with its unit: 121C, 250F")
    parser.add_argument("--bottom", default=None, help="the bottom vent: 1/4, open (default: as last marked)")
    parser.add_argument("--ambient", default="20C", help="the air outside, with its unit (default 20C)")
    add_db(parser)
    add_units(parser)
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the opening with its band."""
    answer = answer_of(args)
    if args.json:
        print_json(answer)
    else:
        print("\n".join(_lines(answer, unit(args))))
    return 0


def answer_of(args: argparse.Namespace) -> dict[str, Any]:
    """All figures, units in the keys."""
    pit_c, ambient_c = quantities.temperature_c(args.pit), quantities.temperature_c(args.ambient)
    if not ambient_c + 30.0 <= pit_c <= 400.0:
        raise UserError(f"--pit {args.pit}: at least 30 degC over the air outside and at most 400 degC would be right")
    known_vents = _known(db_path(args), args.cooker)
    bottom = known_vents.bottom if args.bottom is None else quantities.share(args.bottom)
    return {"cooker": args.cooker, **opening_of(known_vents, pit_c, bottom, ambient_c)}


def _known(path: Path, cooker: str) -> Learnt:
    """What the record knows of this cooker: nothing, before its first cook. A misspelt name is refused."""
    if not path.exists():
        return NOTHING_KNOWN
    config = load_config()
    with open_record(path) as reader:
        known = reader.cookers()
        if known and cooker not in {*known, config.cooker, *config.more_cookers}:
            raise UserError(f"cooker {cooker!r}: no cook of it is recorded; known: {', '.join(known)}")
        return learnt(reader, cooker)


def _lines(answer: dict[str, Any], units: str) -> Iterator[str]:
    first, *more = (render(line, units) for line in vent_lines(answer))
    yield f"{answer['cooker']}. {first}"
    yield from (f"  {line}" for line in more)
