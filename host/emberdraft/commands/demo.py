"""`emberdraft demo`: the real firmware on the virtual board, a simulated cooker, a stand-in person, the real host."""

from __future__ import annotations

import argparse
import contextlib
import math
import tempfile
import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from emberdraft.clock import Clock
from emberdraft.commands.common import add_units, unit
from emberdraft.commands.host import Host
from emberdraft.commands.narrator import Narrator
from emberdraft.daemon.plan import Plan, example_names, load_plan
from emberdraft.daemon.rehearsal import cold_world
from emberdraft.daemon.service import Service
from emberdraft.daemon.standin import Person
from emberdraft.errors import UserError
from emberdraft.review.figures import figures_of
from emberdraft.review.summary import summary_text
from emberdraft.store.place import DEMO_NAME, default_path
from emberdraft.virtual.board import VirtualBoard
from emberdraft.virtual.interpreter import find_micropython

COOKER = "demo"
LOOK_S = 0.1
AHEAD_S, AHEAD_REAL_S = 5.0, 1.0  # half of what makes a board a silent one (daemon/liveness.py)
GONE_REAL_S = 60.0
MOST_COOKERS = 20
BOARD_WAIT_S = 300.0  # a computer with a long queue starts processes slowly; an idle one needs two seconds


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("--speed", type=float, default=60.0, metavar="N", help="times real time (default 60)")
    parser.add_argument(
        "--plan",
        default="two_chops",
        help=f"a plan file, or one of ours: {', '.join(example_names())} (default: two_chops)",
    )
    parser.add_argument("--plant", metavar="FILE.py:Class", default=None, help="a simulated cooker of your own")
    parser.add_argument("--cookers", type=int, default=1, metavar="N", help="how many, each with its board (default 1)")
    parser.add_argument("--exit-when-done", action="store_true", help="end with the cook; otherwise the page stays")
    parser.add_argument("--db", type=Path, default=None, metavar="PATH", help="the record (default: one for demos)")
    parser.add_argument("--port", type=int, default=8017, metavar="N", help="of the page; 0 takes any free one")
    parser.add_argument("--seed", type=int, default=0, help="weather and noise (default 0)")
    add_units(parser)


def main(args: argparse.Namespace) -> int:
    """Run a cook on each cooker to its end; print what happens, then the summaries."""
    if not 1.0 <= args.speed <= 1000.0:
        raise UserError(f"--speed {args.speed:g}: 1 to 1000 would be right")
    if not 1 <= args.cookers <= MOST_COOKERS:
        raise UserError(f"--cookers {args.cookers}: 1 to {MOST_COOKERS} would be right")
    plan = load_plan(args.plan)
    db = args.db or default_path().with_name(DEMO_NAME)
    print("Emberdraft: a simulated cook. No real fire has been burned with this code yet.", flush=True)
    with contextlib.ExitStack() as stack:
        flash = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="emberdraft-")))
        names = [COOKER, *(f"{COOKER}{k}" for k in range(2, args.cookers + 1))]
        host = stack.enter_context(
            Host(db, names, clock=Clock(args.speed), port=args.port, simulated=True, unit=unit(args))
        )
        _say_where(args, host)
        boards = [stack.enter_context(_board(args, plan, host, flash, k)) for k in range(len(names))]
        for cook_id in _cook(plan, host, boards):
            print()
            print(summary_text(figures_of(host.store, cook_id), unit(args)), end="")
            print(f"\nAgain and more: emberdraft show {cook_id} --db {db}")
        if not args.exit_when_done:
            print(f"The page stays at {host.page.url} until Ctrl-C.", flush=True)
            threading.Event().wait()
    return 0


def _say_where(args: argparse.Namespace, host: Host) -> None:
    if not find_micropython():
        print("No MicroPython for this computer: the same firmware runs under CPython.")
    print(f"The firmware runs under {_interpreter()}, {args.speed:g} times real time, on simulated chips.")
    print(f"Watch it at {host.page.url}", flush=True)


def _interpreter() -> str:
    return "micropython" if find_micropython() else "cpython"


def _board(args: argparse.Namespace, plan: Plan, host: Host, flash: Path, k: int) -> VirtualBoard:
    """A cold cooker in its yard, and the board on it; each has its own weather."""
    cooker, seed = host.cookers[k], args.seed + k
    world, folder = cold_world(plan, args.plant, seed), flash / cooker
    folder.mkdir()
    return VirtualBoard(
        world,
        speed=args.speed,
        interpreter=_interpreter(),
        broker=host.address,
        cooker=cooker,
        seed=seed,
        work_dir=folder,
        settings={"food_probes": len(world.probe_in), "damper": plan.blower, "blower": plan.blower},
    )


def _cook(plan: Plan, host: Host, boards: list[VirtualBoard]) -> list[int]:
    """Begin a cook on each cooker once its board is heard; tell what happens until all are over."""
    pairs = list(zip(host.services.items(), boards, strict=True))
    for (cooker, _), board in pairs:
        _wait_for_board(host, cooker, board)
    cook_ids = [service.start_cook(plan) for (_, service), _ in pairs]
    going = [(cooker, service, Person(plan, board.world, service), Narrator()) for (cooker, service), board in pairs]
    pace = KeptTogether(host.clock, [service for _, service, _, _ in going])
    while going:
        pace.look()
        for cooker, service, person, narrator in going:
            if service.cook.conductor is not None:
                person.follow(service.cook.conductor.plan)
            person.tick(host.clock.now_s(), service.prompts())
            for line in narrator.lines(service.now()):
                print(line if len(pairs) == 1 else f"{cooker:<8}{line}", flush=True)
        going = [one for one in going if one[1].now()["cook"] is not None]
        time.sleep(LOOK_S)
    return cook_ids


class KeptTogether:
    """Lets the host's clock wait for the boards: a busy computer makes a demonstration late, never wrong."""

    def __init__(self, clock: Clock, services: Sequence[Service], real_s: Callable[[], float] = time.monotonic) -> None:
        self._clock, self._services, self._real_s = clock, services, real_s
        self._ahead_s = max(AHEAD_S, AHEAD_REAL_S * clock.speed)
        self._heard_s, self._since_s = 0.0, real_s()

    def look(self) -> None:
        """Move the clock's end on with the last readings; a board that is gone for good holds nobody."""
        rows = [service.live.row for service in self._services]
        heard_s = min(row["at_s"] if row else 0.0 for row in rows)
        if heard_s > self._heard_s:
            self._heard_s, self._since_s = heard_s, self._real_s()
        gone = self._real_s() - self._since_s > GONE_REAL_S
        self._clock.latest_s = math.inf if gone else max(self._heard_s + self._ahead_s, self._clock.now_s())


def _wait_for_board(host: Host, cooker: str, board: VirtualBoard) -> None:
    end_s = time.monotonic() + BOARD_WAIT_S
    while host.ingest.link(cooker).state != "online":
        if time.monotonic() > end_s:
            raise UserError(f"the virtual board was not heard in {BOARD_WAIT_S:.0f} s; it said: {_last(board)}")
        time.sleep(LOOK_S)


def _last(board: Any) -> str:
    lines = board.console().strip().splitlines()
    return lines[-1] if lines else "nothing"
