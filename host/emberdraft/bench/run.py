"""`emberdraft bench`: controllers x cookers x scenarios x seeds, through any executor, and what came of it."""

from __future__ import annotations

import argparse
import concurrent.futures
import importlib
import json
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from emberboard.core.hold import SWITCHES
from emberdraft.errors import UserError

from . import report
from .cookers import COOKERS, Cooker, from_file
from .figures import FIGURES
from .jobs import CONTROLLERS, OURS, Job, LimitJob, LimitResult, Result, run_job, run_limit
from .laws import LAWS
from .scenarios import SCENARIOS

GROUPS = ("tuned_on", "validation")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `emberdraft bench`."""
    add = parser.add_argument
    add("--controllers", default=",".join(CONTROLLERS), metavar="LIST", help="default: %(default)s")
    add("--cookers", default=",".join(GROUPS), metavar="LIST", help="sets or single names; default: %(default)s")
    own = "a cooker of your own, instead of --cookers"
    add("--plant", action="append", default=[], metavar="FILE.py:Class", help=own)
    add("--scenarios", default="all", metavar="LIST", help=f"default: all, which are {', '.join(SCENARIOS)}")
    add("--seeds", type=int, default=1, metavar="N", help="seeds of sensors, weather and charcoal; default: 1")
    add("--first-seed", type=int, default=1, metavar="K", help="the first of them; default: 1")
    parts = f"our controller also with a part switched off: {', '.join(SWITCHES)}, or all of them in turn"
    add("--without", action="append", default=[], metavar="NAME", help=parts)
    add("--law", default="shipped", metavar="NAME", help=f"the law inside: {', '.join(LAWS)}; default: %(default)s")
    slow = "skip the search for the limit (slow the first time, then kept on disk)"
    add("--no-limit", action="store_true", help=slow)
    add("--pictures", metavar="DIR", help="write a picture (SVG) of every run into DIR")
    add("--json", action="store_true", help="print one JSON object instead of the table")
    add("--workers", type=int, default=os.cpu_count() or 1, metavar="N", help="processes; default: %(default)s")
    dask = "run on a dask scheduler at ADDRESS instead (needs the package distributed)"
    add("--cluster", metavar="ADDRESS", help=dask)
    add("--list", action="store_true", help="list cookers, scenarios and controllers, and run nothing")


def main(args: argparse.Namespace, executor: concurrent.futures.Executor | None = None) -> int:
    """Run the bench; 1 when a run broke or a limit was beaten. An executor handed in is used and left open."""
    if args.list:
        print(_listing())
        return 0
    jobs, limit_jobs = plan(args)
    if executor is not None:
        results, limits = sweep(executor, jobs, limit_jobs)
    else:
        with _executor(args) as own:
            results, limits = sweep(own, jobs, limit_jobs)
    if args.pictures:
        _write_pictures(Path(args.pictures), results)
    _print(args.json, results, limits)
    return _verdict(results, limits)


def plan(args: argparse.Namespace) -> tuple[list[Job], list[LimitJob]]:
    """All runs that the arguments ask for; UserError names what is not known."""
    cookers = [from_file(where) for where in args.plant] or _cookers(args.cookers)
    stories = list(SCENARIOS) if args.scenarios == "all" else _known(args.scenarios, SCENARIOS, "scenario")
    controllers = _known(args.controllers, CONTROLLERS, "controller")
    if args.seeds < 1:
        raise UserError(f"bench: --seeds {args.seeds} is too few; 1 or more would be right")
    seeds = range(args.first_seed, args.first_seed + args.seeds)
    off = SWITCHES if "all" in args.without else _known(",".join(args.without), SWITCHES, "part")
    (law,) = _known(args.law, LAWS, "law")
    chosen: tuple[tuple[str, Any], ...] = () if law == "shipped" else (("law", law),)
    variants = [(name, chosen if name == OURS else ()) for name in controllers]
    variants += [(f"{OURS} without {name}", ((name, False),)) for name in off]
    jobs = [
        Job(name, cooker, story, seed, tuning, bool(args.pictures))
        for story in stories
        for cooker in cookers
        for seed in seeds
        for name, tuning in variants
    ]
    wanted = [] if args.no_limit else [story for story in stories if SCENARIOS[story].limit]
    return jobs, [LimitJob(cooker, story, seed) for story in wanted for cooker in cookers for seed in seeds]


def _known(text: str, names: Iterable[str], what: str) -> list[str]:
    asked, known = [part.strip() for part in text.split(",") if part.strip()], list(names)
    for name in asked:
        if name not in known:
            raise UserError(f"bench: no {what} '{name}'; there are: {', '.join(known)}")
    return asked


def _cookers(text: str) -> list[Cooker]:
    names = _known(text, [*GROUPS, *(cooker.name for cooker in COOKERS)], "cooker")
    return [cooker for cooker in COOKERS if cooker.name in names or cooker.group in names]


def _executor(args: argparse.Namespace) -> concurrent.futures.Executor:
    if not args.cluster:
        return concurrent.futures.ProcessPoolExecutor(max(1, args.workers))
    try:
        client = importlib.import_module("distributed").Client
    except ImportError as error:
        raise UserError("bench: --cluster needs the package distributed: pip install distributed") from error
    try:
        return client(args.cluster, timeout=10).get_executor()  # type: ignore[no-any-return]
    except OSError as error:
        raise UserError(f"bench: no scheduler answers at '{args.cluster}' ({error})") from error


def sweep(
    executor: concurrent.futures.Executor, jobs: Sequence[Job], limit_jobs: Sequence[LimitJob]
) -> tuple[list[Result], list[LimitResult]]:
    """Run everything through the executor; results in the order of the jobs, progress on stderr."""
    work: list[tuple[Callable[[Any], Any], Any]] = [(run_limit, job) for job in limit_jobs]
    work += [(run_job, job) for job in jobs]
    futures = [executor.submit(function, job) for function, job in work]
    for count, _ in enumerate(concurrent.futures.as_completed(futures), 1):
        _progress(count, len(futures))
    done = [future.result() for future in futures]
    results = report.add_ratios(done[len(limit_jobs) :], done[: len(limit_jobs)])
    return results, done[: len(limit_jobs)]


def _progress(count: int, total: int) -> None:
    """On a terminal one line that counts; otherwise a line each tenth."""
    if sys.stderr.isatty():
        print(f"\r{count} of {total} runs", end="\n" if count == total else "", file=sys.stderr, flush=True)
    elif count == total or count * 10 // total != (count - 1) * 10 // total:
        print(f"{count} of {total} runs", file=sys.stderr, flush=True)


def _write_pictures(folder: Path, results: Iterable[Result]) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for row in results:
            if row.picture:
                (folder / f"{row.job.label.replace(' ', '-')}.svg").write_text(row.picture, encoding="utf-8")
    except OSError as error:
        raise UserError(f"bench: pictures cannot be written into '{folder}': {error.strerror}") from error


def _print(as_json: bool, results: list[Result], limits: list[LimitResult]) -> None:
    if as_json:
        print(json.dumps(report.as_object(results, limits), indent=1))
        return
    print(report.table(results))
    print("\nEach cell: mean / worst. The verdict is on the first controller. Simulated cookers only.")
    first = results[0].job.controller if results else OURS
    print(f"\nWorst runs of {first}:")
    for figure in FIGURES:
        row = report.worst_run(results, figure, first)
        if row is not None and figure.pass_worst is not None:
            value = row.figures[figure.key]
            text = report.NEVER if value is None else report.number(value)
            print(f"  {figure.title}: {text} ({row.job.cooker.name}, {row.job.scenario}, seed {row.job.seed})")


def _verdict(results: list[Result], limits: list[LimitResult]) -> int:
    """Say what broke and which limits were beaten; 0 if nothing."""
    for line in report.problems(results, limits):
        print(f"bench: {line}", file=sys.stderr)
    beaten = report.under_the_limit(results)
    for row in beaten:
        ratio = row.figures["iae_ratio"]
        print(
            f"bench: {row.job.label} did better than the limit (ratio {ratio:.3f}): the limit is wrong", file=sys.stderr
        )
    broken = any(row.problem and not row.not_possible for row in results) or any(row.problem for row in limits)
    return 1 if beaten or broken else 0


def _listing() -> str:
    lines = ["controllers: " + ", ".join(CONTROLLERS), "", "cookers:"]
    lines += [f"  {cooker.name} ({cooker.group})" for cooker in COOKERS]
    lines += ["", "scenarios:", *(f"  {story.name}: {story.title}" for story in SCENARIOS.values())]
    return "\n".join(lines)
