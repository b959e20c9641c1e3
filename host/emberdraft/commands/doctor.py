"""`emberdraft doctor`: what is healthy, what is not, and what to do about it."""

from __future__ import annotations

import argparse
import shutil
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from emberdraft import __version__
from emberdraft.commands.common import add_db, add_json, db_path, print_json
from emberdraft.commands.running import call, running_url
from emberdraft.config import config_path, load_config
from emberdraft.daemon.channels import channels
from emberdraft.daemon.notice_settings import notices_file, read
from emberdraft.daemon.notify import Notifier
from emberdraft.errors import UserError
from emberdraft.store.read import Reader

DISK_LOW_MB = 200


@dataclass
class Finding:
    """One thing looked at. `state`: good, look (worth a look) or bad; `todo` says what would mend it."""

    what: str
    state: str
    saw: str
    todo: str = ""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    add_db(parser)
    add_json(parser)
    parser.add_argument(
        "--test-notice", action="store_true", help="send a test notice as the settings say, and look at nothing else"
    )


def main(args: argparse.Namespace) -> int:
    """Look at everything; exit 1 when something is bad."""
    if args.test_notice:
        return _test_notice(args)
    findings = list(examine(db_path(args)))
    if args.json:
        print_json({"findings": [asdict(finding) for finding in findings]})
    else:
        for finding in findings:
            print(
                f"{finding.state:<5} {finding.what}: {finding.saw}"
                + (f"\n      {finding.todo}" if finding.todo else "")
            )
    return 1 if any(finding.state == "bad" for finding in findings) else 0


def _test_notice(args: argparse.Namespace) -> int:
    said = _notifier(db_path(args)).test(load_config().cooker)
    if args.json:
        print_json({"sent": said})
    else:
        print(said)
    return 0


def _notifier(db: Path) -> Notifier:
    """With what holds: the form on the page where it was filled in, else the settings file."""
    ways = read(notices_file(db))
    if ways is not None:
        return Notifier(ways.first(), ways.second())
    notify = load_config().notify
    second = channels(notify.second_webhook, notify.second_apprise_file, second=True)
    return Notifier(channels(notify.webhook, notify.apprise_file), second)


def examine(db: Path) -> Iterator[Finding]:
    """Every finding, in the order in which a person would look."""
    yield Finding("emberdraft", "good", f"{__version__} on Python {sys.version.split()[0]}")
    yield _settings()
    yield _interpreter()
    yield _disk(db)
    yield from _record(db)
    yield from _host(db)


def _settings() -> Finding:
    try:
        config = load_config()
    except UserError as error:
        return Finding("settings", "bad", str(error), "Mend the file, or move it away to get the defaults.")
    path = config_path()
    where = str(path) if path.exists() else "none, so the defaults hold"
    broker = f"{config.broker.host}:{config.broker.port}" if config.broker.host else "embedded, on this machine only"
    return Finding("settings", "good", f"{where}; broker {broker}")


def _interpreter() -> Finding:
    beside = Path(sys.executable).with_name("micropython")
    found = str(beside) if beside.exists() else shutil.which("micropython")
    if found:
        return Finding("micropython", "good", "found; the demonstration runs the firmware under it")
    saw = "not found; the demonstration runs the same firmware under CPython"
    return Finding("micropython", "look", saw, "On x86_64 Linux `make venv` brings it.")


def _disk(db: Path) -> Finding:
    folder = next(parent for parent in (db.parent, *db.parent.parents) if parent.exists())
    free_mb = shutil.disk_usage(folder).free // 1_000_000
    if free_mb < DISK_LOW_MB:
        return Finding(
            "disk", "bad", f"{free_mb} MB free for the record", "Free some space: a 12 h cook takes about 10 MB."
        )
    return Finding("disk", "good", f"{free_mb} MB free for the record")


def _record(db: Path) -> Iterator[Finding]:
    if not db.exists():
        yield Finding("record", "look", f"{db} does not exist yet", "`emberdraft serve` begins it.")
        return
    try:
        with Reader(db) as reader:
            about, counts = reader.about(), reader.counts()
    except UserError as error:
        yield Finding("record", "bad", str(error), "Restore a copy, or name another record with --db.")
        return
    told = ", ".join(f"{number} {name}" for name, number in counts.items() if number)
    yield Finding("record", "good", f"{db}; {', '.join(f'{k} {v}' for k, v in about.items())}; {told or 'empty'}")


def _host(db: Path) -> Iterator[Finding]:
    url = running_url(db)
    if url is None:
        yield Finding("host", "look", "no host has this record open", "`emberdraft serve` starts one.")
        return
    yield Finding("host", "good", f"page at {url}")
    try:
        yield from _health(call(db, "/api/health")["health"])
    except UserError as error:
        yield Finding("host", "bad", str(error), "Stop it and start it again.")


def _health(health: dict[str, Any]) -> Iterator[Finding]:
    """The running host's own checks. Messages that could not be used are worth a look, not an illness."""
    for check in health["checks"]:
        unused = check["name"].startswith("messages")
        state = "good" if check["ok"] else "look" if unused else "bad"
        todo = "" if check["ok"] else REMEDY["messages" if unused else check["name"]]
        yield Finding(check["name"], state, check["text"], todo)


REMEDY = {
    "board": "Check its power, its Wi-Fi, and that its settings name this broker.",
    "store": "See the record's disk: space, and who else has the file open.",
    "link": "See the broker, then the record.",
    "notices": "Open Calls on the page: fill in the form, send a test, and open its link on the phone.",
    "messages": "Find out who else writes to this broker, or which board has other firmware.",
    "alarms": "Look at the page; acknowledge what you have seen.",
}
