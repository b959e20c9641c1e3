"""`emberdraft demo`: the real firmware on the virtual board, a simulated cooker, a stand-in person, the real host."""

from __future__ import annotations

import argparse
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

from emberdraft.clock import Clock
from emberdraft.commands.common import add_units, unit
from emberdraft.commands.host import Host
from emberdraft.commands.narrator import Narrator
from emberdraft.daemon.plan import Plan, load_plan
from emberdraft.daemon.rehearsal import cold_world
from emberdraft.daemon.standin import Person
from emberdraft.errors import UserError
from emberdraft.review.figures import figures_of
from emberdraft.review.summary import summary_text
from emberdraft.store.place import default_path
from emberdraft.virtual.board import VirtualBoard
from emberdraft.virtual.interpreter import find_micropython

COOKER = "demo"
LOOK_S = 0.1
BOARD_WAIT_S = 30.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("--speed", type=float, default=60.0, metavar="N", help="times real time (default 60)")
    parser.add_argument("--plan", default="two_chops", help="a plan file, or the name of one of ours (two_chops)")
    parser.add_argument("--plant", metavar="FILE.py:Class", default=None, help="a simulated cooker of your own")
    parser.add_argument("--exit-when-done", action="store_true", help="end with the cook; otherwise the page stays")
    parser.add_argument("--db", type=Path, default=None, metavar="PATH", help="the record (default: one for demos)")
    parser.add_argument("--port", type=int, default=8017, metavar="N", help="of the page; 0 takes any free one")
    parser.add_argument("--seed", type=int, default=0, help="weather and noise (default 0)")
    add_units(parser)


def main(args: argparse.Namespace) -> int:
    """Run a cook to its end; print what happens, then the summary."""
    if not 1.0 <= args.speed <= 1000.0:
        raise UserError(f"--speed {args.speed:g}: 1 to 1000 would be right")
    plan = load_plan(args.plan)
    db = args.db or default_path().with_name("demo.sqlite")
    print("Emberdraft: a simulated cook. No real fire has been burned with this code yet.", flush=True)
    with tempfile.TemporaryDirectory(prefix="emberdraft-") as flash, _host(args, db) as host:
        with _board(args, plan, host, Path(flash)) as board:
            cook_id = _cook(plan, host, board)
        print()
        print(summary_text(figures_of(host.store, cook_id), unit(args)), end="")
        print(f"\nAgain and more: emberdraft show {cook_id} --db {db}")
        if not args.exit_when_done:
            print(f"The page stays at {host.page.url} until Ctrl-C.", flush=True)
            threading.Event().wait()
    return 0


def _host(args: argparse.Namespace, db: Path) -> Host:
    return Host(db, COOKER, clock=Clock(args.speed), port=args.port, fresh=True, unit=unit(args))


def _board(args: argparse.Namespace, plan: Plan, host: Host, flash: Path) -> VirtualBoard:
    """A cold cooker in its yard, and the board on it."""
    world = cold_world(plan, args.plant, args.seed)
    interpreter = "micropython" if find_micropython() else "cpython"
    if interpreter == "cpython":
        print("No MicroPython for this computer: the same firmware runs under CPython.")
    print(f"The firmware runs under {interpreter}, {args.speed:g} times real time, on simulated chips.")
    print(f"Watch it at {host.page.url}", flush=True)
    return VirtualBoard(
        world,
        speed=args.speed,
        interpreter=interpreter,
        broker=host.address,
        cooker=COOKER,
        seed=args.seed,
        work_dir=flash,
        settings={"food_probes": len(world.probe_in), "damper": plan.blower, "blower": plan.blower},
    )


def _cook(plan: Plan, host: Host, board: VirtualBoard) -> int:
    """Begin the cook once the board is heard; tell what happens until it is over."""
    service, narrator = host.service, Narrator()
    _wait_for_board(host, board)
    cook_id = service.start_cook(plan)
    person = Person(plan, board.world, service)
    while service.now()["cook"] is not None:
        person.tick(host.clock.now_s(), service.prompts())
        for line in narrator.lines(service.now()):
            print(line, flush=True)
        time.sleep(LOOK_S)
    return cook_id


def _wait_for_board(host: Host, board: VirtualBoard) -> None:
    end_s = time.monotonic() + BOARD_WAIT_S
    while host.ingest.link(COOKER).state != "online":
        if time.monotonic() > end_s:
            raise UserError(f"the virtual board was not heard in {BOARD_WAIT_S:.0f} s; it said: {_last(board)}")
        time.sleep(LOOK_S)


def _last(board: Any) -> str:
    lines = board.console().strip().splitlines()
    return lines[-1] if lines else "nothing"
