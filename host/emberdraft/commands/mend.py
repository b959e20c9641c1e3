"""`emberdraft mend`: a damaged record is set aside, a new one takes over what still reads."""

from __future__ import annotations

import argparse

from emberdraft.commands.common import add_db, add_json, db_path, print_json
from emberdraft.store.mend import mend


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_db(parser)
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Mend it, and say what was taken over."""
    path = db_path(args)
    done = mend(path)
    if args.json:
        print_json(
            {"mended": done is not None, "rows": done.taken if done else {}, "aside": str(done.aside) if done else None}
        )
    elif done is None:
        print(f"{path}: nothing is wrong with it; nothing was changed.")
    else:
        told = ", ".join(f"{count} {name}" for name, count in done.taken.items() if count)
        print(f"Taken over into a new {path.name}: {told or 'nothing'}.")
        print(f"The damaged file is {done.aside}. What is gone is marked lost.")
    return 0
