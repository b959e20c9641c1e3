"""`python -m tests.bench_suite.strangers`: the shipped controller and baselines on cookers of other equations.

A kind that is no training yet is looked at only with a reason, which goes into the ledger (tests/bench_suite/looks.py).
"""

from __future__ import annotations

import argparse
import concurrent.futures
import json
import sys
from collections.abc import Sequence
from pathlib import Path

from emberdraft.bench import report
from emberdraft.bench.jobs import OURS, Job, Result
from emberdraft.bench.scenarios import SCENARIOS
from tests.bench_suite.looks import look_at

from . import tables
from .yard import KINDS, STRANGERS, Errand, run_errand

BASELINES = ("onoff", "pid-simc")
COMPARED = ("hold", "lid60", "lid90")


def parse(words: Sequence[str] | None = None) -> argparse.Namespace:
    """The arguments."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench_suite.strangers", description=__doc__)
    add = parser.add_argument
    add("--seeds", type=int, default=3, metavar="N", help="draws of every cooker; default: 3")
    add("--first-seed", type=int, default=1, metavar="K", help="the first of them; default: 1")
    add("--cookers", default=",".join(KINDS), metavar="LIST", help="default: %(default)s")
    add("--scenarios", default=",".join(SCENARIOS), metavar="LIST", help="default: all")
    add("--why", default="", metavar="SENTENCE", help="why a kind is looked at that is no training yet")
    add("--no-baselines", action="store_true", help="ours alone")
    add("--traces", default="", metavar="DIR", help="keep every run's columns as CSV")
    add("--workers", type=int, default=1, metavar="N", help="processes; default: %(default)s")
    add("--json", action="store_true", help="print one JSON object instead of the tables")
    return parser.parse_args(words)


def errands(args: argparse.Namespace) -> list[Errand]:
    """All runs, long stories first so that two processes end together."""
    cookers = [cooker for cooker in STRANGERS if cooker.name in args.cookers.split(",")]
    stories = sorted(args.scenarios.split(","), key=lambda name: -SCENARIOS[name].length_s)
    seeds = range(args.first_seed, args.first_seed + args.seeds)
    jobs = [Job(OURS, cooker, story, seed) for story in stories for cooker in cookers for seed in seeds]
    if not args.no_baselines:
        jobs += [
            Job(name, cooker, story, seed)
            for name in BASELINES
            for story in COMPARED
            if story in stories
            for cooker in cookers
            for seed in seeds
        ]
    return [Errand(job, args.traces) for job in jobs]


def sweep(work: Sequence[Errand], workers: int) -> list[Result]:
    """Run all; progress on stderr."""
    with concurrent.futures.ProcessPoolExecutor(workers) as executor:
        results = []
        for count, result in enumerate(executor.map(run_errand, work), 1):
            results.append(result)
            if count % max(1, len(work) // 20) == 0:
                print(f"{count} of {len(work)} runs", file=sys.stderr, flush=True)
    return results


def main(words: Sequence[str] | None = None) -> int:
    """Run and print; 1 when a run broke."""
    args = parse(words)
    look_at(args.cookers.split(","), args.why)
    if args.traces:
        Path(args.traces).mkdir(parents=True, exist_ok=True)
    results = sweep(errands(args), args.workers)
    if args.json:
        print(json.dumps({**report.as_object(results, []), **tables.as_object(results)}, indent=1))
    else:
        print(tables.text(results))
    return 1 if any(row.problem and not row.not_possible for row in results) else 0


if __name__ == "__main__":
    sys.exit(main())
