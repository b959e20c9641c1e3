"""Many boards on one host: `python -m tests.bench.load [BOARDS] [SECONDS]` says how late readings are, and the cost.

The boards are the firmware's own link code on real sockets, one reading a second each, all in one process. Broker,
record, ingest, services with a running cook each and the page are the host's own, in another process that is held to
one core; a real browser looks at the page of all cookers. A reading's lateness is from its making to the moment its
board has heard that it is on the disk.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from emberboard.link import messages
from emberboard.link.client import MqttClient
from emberboard.link.session import LinkSession, subscriptions
from emberboard.link.sockets import Opener
from emberboard.link.spool import Spool
from tests.link.peer import Controller, inputs, outputs

LONGEST_S = 120.0
POLL_S = 0.02
KEEP_ALIVE_S = 30
CAPACITY = 600


@dataclass
class Board:
    """Spool, session and client of the firmware, and when each of its readings was made and known to be kept."""

    name: str
    spool: Spool
    session: LinkSession
    due_s: float
    made_s: dict[int, float] = field(default_factory=dict)
    late_s: list[float] = field(default_factory=list)

    def turn(self, now_s: float, begun_s: float) -> None:
        now_ms = int((now_s - begun_s) * 1000.0)
        if now_s >= self.due_s:
            self.due_s += 1.0
            self.made_s[self.spool.next_seq] = now_s
            self.spool.add_reading(now_ms, outputs(pit_f_c=1.0), inputs())
        self.session.poll(now_ms)
        for seq in [seq for seq in self.made_s if seq < self.spool.oldest]:
            self.late_s.append(time.monotonic() - self.made_s.pop(seq))


def make_board(name: str, address: dict[str, Any], due_s: float) -> Board:
    boot = f"{abs(hash(name)) & 0xFFFFFFFF:08x}"
    where = (address["host"], address["port"], f"board-{name}", address["user"], address["password"])
    client = MqttClient(Opener().open, *where, KEEP_ALIVE_S, messages.will(name, boot), subscriptions(name))
    spool = Spool(CAPACITY, boot)
    info = {"firmware": "load", "sensors": {}, "limits": {}}
    return Board(name, spool, LinkSession(client, spool, Controller(), name, boot, info), due_s)


@contextmanager
def host(names: list[str], db: Path) -> Iterator[tuple[dict[str, Any], Any]]:
    """The host in a process of its own, on one core; its addresses, and a call that ends it and tells its CPU time."""
    command = [sys.executable, "-m", "tests.bench.load_host", str(db), *names]
    process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert process.stdin is not None and process.stdout is not None

    def ask(word: str) -> dict[str, Any]:
        process.stdin.write(word + "\n")
        process.stdin.flush()
        return dict(json.loads(process.stdout.readline()))

    try:
        yield json.loads(process.stdout.readline()), ask
    finally:
        process.stdin.close()
        process.wait(30.0)
        process.stdout.close()


@contextmanager
def looking(browser: Any, url: str) -> Iterator[None]:
    """The page of all cookers in a browser."""
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(url)
    page.wait_for_selector(".one canvas", state="attached")
    yield
    page.close()


def run(boards: int, seconds: float, browser: Any = None) -> dict[str, float]:
    """Figures of one run, from when all boards are connected; `browser` (of Playwright) looks on."""
    names = [f"b{k:03}" for k in range(boards)]
    with tempfile.TemporaryDirectory() as folder, host(names, Path(folder) / "cooks.sqlite") as (where, ask):
        begun_s = time.monotonic()
        made = [make_board(name, where["broker"], begun_s + k / boards) for k, name in enumerate(names)]
        with nullcontext() if browser is None else looking(browser, where["url"]):
            connected_s = _settle(made, begun_s)
            for board in made:
                board.late_s.clear()
            before = ask("usage")
            _turn_until(made, begun_s, time.monotonic() + seconds)
            _settle(made, begun_s)  # at once, but on a computer that is busy with something else
            waiting_s = max((time.monotonic() - at_s for board in made for at_s in board.made_s.values()), default=0.0)
            after = ask("usage")
        for board in made:
            board.session.goodbye()
    late_s = sorted(late for board in made for late in board.late_s)
    lost = sum(board.spool.dropped for board in made)
    return {
        "boards": boards,
        "readings": len(late_s),
        "late_worst_s": late_s[-1],
        "late_middle_s": statistics.median(late_s),
        "late_99_s": late_s[int(0.99 * len(late_s))],
        "over_1_s": sum(late > 1.0 for late in late_s),
        "waiting_at_the_end_s": waiting_s,
        "all_connected_after_s": connected_s,
        "lost": lost,
        "host_cpu_share": (after["cpu_s"] - before["cpu_s"]) / (after["at_s"] - before["at_s"]),
        "broker_cpu_share": (after["broker_s"] - before["broker_s"]) / (after["at_s"] - before["at_s"]),
        "host_mb": after["mb"],
    }


def _settle(boards: list[Board], begun_s: float) -> float:
    """Until no board has more than two readings on the way; how long it took, s."""
    while any(len(board.made_s) > 2 or not board.late_s for board in boards):
        _turn_until(boards, begun_s, time.monotonic() + 1.0)
        if time.monotonic() - begun_s > LONGEST_S:
            raise RuntimeError(f"not all boards were heard within {LONGEST_S:.0f} s")
    return time.monotonic() - begun_s


def _turn_until(boards: list[Board], begun_s: float, end_s: float) -> None:
    while (now_s := time.monotonic()) < end_s:
        for board in boards:
            board.turn(now_s, begun_s)
        time.sleep(POLL_S)


def main() -> None:
    """Print one run."""
    from playwright.sync_api import sync_playwright

    from tests.web.conftest import BROWSER

    boards = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 60.0
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}; the host is held to one core", file=sys.stderr)
    with sync_playwright() as play:
        found = run(boards, seconds, play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"]))
    for name, value in found.items():
        print(f"{name:<28} {value:.3f}".rstrip("0").rstrip("."))


if __name__ == "__main__":
    main()
