"""`emberdraft import FILE`: a cook that was exported comes back into a record, from a json or a csv with its rest."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from emberdraft.commands.common import add_db, db_path
from emberdraft.commands.running import call, running_url
from emberdraft.review.bringing import bring_file, read_files
from emberdraft.store.store import Store


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("file", type=Path, metavar="FILE", help="a csv (its .rest.json beside it) or json of `export`")
    parser.add_argument(
        "--cooker", default=None, metavar="NAME", help="which cooker it was on (default: as in the file)"
    )
    parser.add_argument("--name", default=None, metavar="WORDS", help="what to call it (default: as in the file)")
    parser.add_argument("--simulated", action="store_true", help="no real fire was burned (json knows by itself)")
    add_db(parser)


def main(args: argparse.Namespace) -> int:
    """Through the running host when there is one, since it is the one writer; else straight into the record."""
    db = db_path(args)
    more = {"cooker": args.cooker, "name": args.name, "simulated": args.simulated}
    cook_id = _through_host(db, args.file, more) if running_url(db) else _alone(db, args.file, more)
    print(f"Brought as cook {cook_id}: emberdraft show {cook_id}")
    return 0


def _alone(db: Path, file: Path, more: dict[str, Any]) -> int:
    with Store(db) as store:
        return bring_file(store, file, **more)


def _through_host(db: Path, file: Path, more: dict[str, Any]) -> int:
    text, rest = read_files(file)
    told = {key: value for key, value in {**more, "rest": rest}.items() if value is not None}
    return int(call(db, "/api/cooks/import", {"file": file.name, "text": text, **told}, timeout_s=120.0)["cook_id"])
