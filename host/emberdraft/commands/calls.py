"""`emberdraft calls`: before bed. What may wake me tonight, is a phone reached, how long the charcoal lasts."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Any

from emberdraft.commands.common import add_db, add_json, add_units, db_path, print_json
from emberdraft.commands.running import call
from emberdraft.daemon.sentence import clock


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument(
        "--test", action="store_true", help="send a test notice; its link, opened on the phone, confirms"
    )
    parser.add_argument("--cooker", default=None, metavar="NAME", help="which one, where the host minds several")
    add_db(parser)
    add_json(parser)
    add_units(parser)


def main(args: argparse.Namespace) -> int:
    """Ask the running host; exit 1 when no phone is reached."""
    if args.test:
        said = call(db_path(args), "/api/notices/test", {}, args.cooker, timeout_s=60.0)
        print_json(said) if args.json else print(said["text"])
        return 0
    told = call(db_path(args), "/api/calls", cooker=args.cooker)
    if args.json:
        print_json(told)
    else:
        print("\n".join(lines(told)))
    return 0 if told["notices"]["ok"] else 1


def lines(told: dict[str, Any]) -> Iterator[str]:
    """What it prints."""
    notices = told["notices"]
    yield f"Phone: {'reached' if notices['ok'] else 'NOT reached'}: {notices['text']}."
    if not notices["second"] and notices["by"]:
        yield "No second way out is set: what nobody answers goes out by the first again."
    yield f"Charcoal: {told['charcoal']['text']}"
    yield "The plan calls you for:" if told["tonight"] else "The plan calls you for nothing that wakes you."
    for row in told["tonight"]:
        yield f"  {'--:--' if row['at_s'] is None else clock(row['at_s'])}  {row['text']}"
    yield "What may wake you at any time:"
    yield from (f"  {text}" for text in told["whenever"])
