"""`emberdraft when PLAN --serve 19:00`: when to light and put on, so that dinner is on time nine times in ten."""

from __future__ import annotations

import argparse
import time
from datetime import tzinfo

from emberdraft.commands.common import add_db, add_json, add_units, db_path, print_json, unit
from emberdraft.commands.when_text import lines_of
from emberdraft.daemon.evening_of import habits_from, serve_of, wanted_of
from emberdraft.daemon.plan import example_names, load_plan
from emberdraft.errors import UserError
from emberdraft.evening.answer import answered
from emberdraft.evening.habits import Habit, habits_of
from emberdraft.evening.said import answer_of, too_late
from emberdraft.store.read import Reader


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("plan", metavar="PLAN", help=f"a plan file, or one of ours: {', '.join(example_names())}")
    parser.add_argument(
        "--serve", default=None, metavar="HH:MM", help="the hour of dinner: 19:00 (default: the plan's `serve`)"
    )
    parser.add_argument(
        "--date", default=None, metavar="DAY", help="2026-12-05 (default: the next time it is that hour)"
    )
    parser.add_argument("--cooker", default=None, help="whose record to learn from (default: the only one in it)")
    add_db(parser)
    add_units(parser)
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the promise, the hours with their bands, and the charcoal."""
    return told(args, time.time())


def told(args: argparse.Namespace, now_s: float, zone: tzinfo | None = None) -> int:
    """The same at a moment and a place."""
    plan = load_plan(args.plan)
    wanted = wanted_of(plan)
    serve_s = serve_of(plan, args.serve, args.date, now_s, zone)
    cooker, habits = _known(args)
    answer = answered(wanted, habits, serve_s, now_s)
    if answer.odds_now is not None and not answer.possible:
        raise UserError(too_late(answer, now_s, zone))
    if args.json:
        print_json(answer_of(plan.name, cooker, habits, answer, zone))
    else:
        print("\n".join(lines_of(plan.name, cooker, habits, answer, unit(args), zone)))
    return 0


def _known(args: argparse.Namespace) -> tuple[str | None, dict[str, Habit]]:
    """The cooker that is meant, None where it cannot be told, and its habits."""
    path = db_path(args)
    if not path.exists():
        return args.cooker, habits_of(())
    with Reader(path) as reader:
        known = sorted({cook["cooker"] for cook in reader.cooks()})
        if args.cooker is not None and args.cooker not in known:
            names = f"known: {', '.join(known)}" if known else "no cook has been recorded yet"
            raise UserError(f"cooker {args.cooker!r}: nothing of it is in the record; {names}")
        cooker = args.cooker or (known[0] if len(known) == 1 else None)
        return cooker, habits_of(()) if cooker is None else habits_from(reader, cooker)
