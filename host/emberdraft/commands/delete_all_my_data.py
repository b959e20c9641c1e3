"""`emberdraft delete-all-my-data`: the record, the plans, the passwords. Asked for in words, told in words."""

from __future__ import annotations

import argparse
from pathlib import Path

from emberdraft.commands.common import add_db, db_path
from emberdraft.config import config_path
from emberdraft.daemon.broker_keys import keys_file
from emberdraft.daemon.notice_settings import notices_file
from emberdraft.daemon.plan_shelf import PlanShelf
from emberdraft.errors import UserError
from emberdraft.store.lock import WriterLock
from emberdraft.store.mend import aside_files
from emberdraft.web.people import own_key_file, people_file

WORDS = "delete everything"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("--say", default=None, metavar="WORDS", help=f"'{WORDS}', for use without a keyboard")
    add_db(parser)


def main(args: argparse.Namespace) -> int:
    """Nothing is deleted unless the words are said whole, and never under a running host."""
    db = db_path(args)
    files = mine(db)
    if not files:
        print(f"Nothing of Emberdraft's is beside {db}.")
        return 0
    print("To be deleted for good:")
    for path in files:
        print(f"  {path}")
    said = args.say if args.say is not None else input(f"Type '{WORDS}' to go on, anything else to keep it: ")
    if said.strip() != WORDS:
        raise UserError(f"'{said.strip()[:40]}' was said; '{WORDS}' would be right. Nothing was deleted")
    _delete(db, files)
    print(f"Deleted: {len(files)} files.")
    _say_what_is_left()
    return 0


def mine(db: Path) -> list[Path]:
    """What belongs to this record: itself, its working files, plans of one's own, passwords. Only what is there."""
    shelf = PlanShelf(db.with_name("plans"))
    beside = [db, *(db.with_name(db.name + end) for end in ("-wal", "-wal.kept", "-shm", "-journal", ".running"))]
    beside += aside_files(db)
    secrets = [keys_file(db), people_file(db), own_key_file(db), notices_file(db)]
    halves = [path.with_name(path.name + ".new") for path in secrets]
    plans = [shelf.folder / f"{name}.toml" for name in shelf.names()]
    return [path for path in (*beside, *secrets, *halves, *plans) if path.is_file()]


def _delete(db: Path, files: list[Path]) -> None:
    """All of it while nobody else may write; the lock's own file goes last."""
    lock = WriterLock(db)
    lock.take()
    try:
        for path in files:
            path.unlink(missing_ok=True)
        plans = db.with_name("plans")
        if plans.is_dir() and not any(plans.iterdir()):
            plans.rmdir()
    except OSError as error:
        raise UserError(f"{error.filename}: {error.strerror}; the rest of the list may be gone already") from None
    finally:
        lock.release()
    lock.path.unlink(missing_ok=True)


def _say_what_is_left() -> None:
    print("Not touched, because it is not only yours here or lies elsewhere:")
    print(f"  the settings file ({config_path()}), a Mosquitto folder, copies, exports and reports you made;")
    print("  a board: its settings hold the Wi-Fi key, its flash at most the last hour that no host has taken.")
    print("  Erase one with `mpremote rm :settings.json` and `mpremote rm -r :spool`, or by flashing MicroPython anew.")
    print("A disk may keep deleted bytes until they are written over: for that, wipe the disk.")
