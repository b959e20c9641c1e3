"""`emberdraft mark KIND`: note something in the cook that is running."""

from __future__ import annotations

import argparse

from emberdraft.commands.common import add_db, db_path
from emberdraft.commands.running import call


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument(
        "kind", metavar="KIND", help="lit, vent_top, vent_bottom, lid_open, lid_shut, flipped, pull_at, note, ..."
    )
    parser.add_argument("--value", type=float, default=None, help="vent: 0 to 1; stone_face, pull_at: degC")
    parser.add_argument("--text", default="", help="words to keep with it")
    parser.add_argument("--minutes-ago", type=float, default=0.0, metavar="MIN", help="it happened earlier")
    parser.add_argument("--cooker", default=None, metavar="NAME", help="which one, where the host minds several")
    add_db(parser)


def main(args: argparse.Namespace) -> int:
    """Send it to the running host, which keeps the record."""
    body = {"kind": args.kind, "value": args.value, "text": args.text, "minutes_ago": args.minutes_ago}
    call(db_path(args), "/api/mark", body, cooker=args.cooker)
    print(f"Noted: {args.kind}.")
    return 0
