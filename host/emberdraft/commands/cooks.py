"""`emberdraft cooks`: what has been recorded."""

from __future__ import annotations

import argparse

from emberdraft.commands.common import add_db, add_json, db_path, print_json
from emberdraft.commands.record import open_record
from emberdraft.review.summary import cooks_table


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_db(parser)
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the list, newest first."""
    with open_record(db_path(args)) as reader:
        cooks = reader.cooks()
    if args.json:
        print_json({"cooks": cooks})
    else:
        print(cooks_table(cooks), end="")
    return 0
