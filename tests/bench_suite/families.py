"""`python -m tests.bench_suite.families`: how many figures a law passes on each family of training cookers.

A figure passes on a cooker when mean and worst of its seeds keep the bounds of `emberdraft.bench.figures`; `JUDGING`
says which rows judge. A figure that no run of a cooker has (a blower nobody would miss, a part that cannot be set in)
is left out of that cooker's count, and of what it is a count of. Every run is kept as a line of JSON and not run again.
"""

from __future__ import annotations

import argparse
import concurrent.futures
import json
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from emberdraft.bench.cookers import COOKERS, Cooker
from emberdraft.bench.figures import BY_KEY, FIGURES, summarise
from emberdraft.bench.jobs import OURS, Job, Result, run_job
from emberdraft.bench.scenarios import SCENARIOS

from .hearths import HEARTHS
from .strangers.yard import STRANGERS, Errand, run_errand

# All bounded rows but the ratio to the limit, whose search takes longer than all the runs together.
JUDGING = tuple(f.key for f in FIGURES if (f.pass_mean, f.pass_worst) != (None, None) and f.key != "iae_ratio")
FAMILIES: dict[str, tuple[Cooker, ...]] = {
    "tuned_on": tuple(cooker for cooker in COOKERS if cooker.group == "tuned_on"),
    "validation": tuple(cooker for cooker in COOKERS if cooker.group == "validation"),
    "strangers": STRANGERS,
    "hearths": HEARTHS,
}
Row = dict[str, Any]


def run_one(job: Job) -> Result:
    """A run, with the sensors that its cooker has."""
    return run_errand(Errand(job)) if job.cooker.group == "strangers" else run_job(job)


def as_row(result: Result) -> Row:
    """What is kept of a run: figures, and the alarms of its fault-free time."""
    story = SCENARIOS[result.job.scenario]
    clean_s = story.upset_s if story.fault and story.upset_s is not None else float("inf")
    return {
        "cooker": result.job.cooker.name,
        "scenario": result.job.scenario,
        "seed": result.job.seed,
        "figures": result.figures,
        "false": [[t_s, name] for t_s, name in result.alarms if t_s < clean_s],
        "problem": "" if result.not_possible else result.problem,
    }


def passed(rows: Iterable[Row]) -> tuple[int, int]:
    """Figures passed and figures judged, of the runs of one cooker."""
    found: dict[str, list[float | None]] = {}
    for row in rows:
        for key, value in row["figures"].items():
            found.setdefault(key, []).append(value)
    judged = [key for key in JUDGING if key in found]
    good = [key for key in judged if summarise(BY_KEY[key], found[key]).verdict(BY_KEY[key]) in ("pass", "aim")]
    return len(good), len(judged)


def summary(rows: Sequence[Row]) -> Row:
    """A family: the mean over its cookers of figures passed, runs with a false alarm, fires lost, runs that broke."""
    names = list(dict.fromkeys(row["cooker"] for row in rows))
    counts = [passed(row for row in rows if row["cooker"] == name) for name in names]
    return {
        "passed": sum(good for good, _ in counts) / max(1, len(counts)),
        "judged": sum(judged for _, judged in counts) / max(1, len(counts)),
        "runs": len(rows),
        "false": sum(bool(row["false"]) for row in rows),
        "lost": sum(bool(row["figures"].get("fire_lost")) for row in rows),
        "broke": sum(bool(row["problem"]) for row in rows),
    }


def kept(path: Path) -> list[Row]:
    """Rows of an earlier call."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()] if path.exists() else []


def jobs(families: Iterable[str], law: str, seeds: int, stories: Iterable[str]) -> list[Job]:
    """Every run asked for, seed by seed, so that what is there early covers all cookers."""
    cookers = [cooker for name in families for cooker in FAMILIES[name]]
    return [
        Job(OURS, cooker, story, seed, (("law", law),))
        for seed in range(1, seeds + 1)
        for story in stories
        for cooker in cookers
    ]


def sweep(work: Sequence[Job], path: Path, workers: int) -> None:
    """Run what is not kept yet and keep it."""
    done = {(row["cooker"], row["scenario"], row["seed"]) for row in kept(path)}
    left = [job for job in work if (job.cooker.name, job.scenario, job.seed) not in done]
    path.parent.mkdir(parents=True, exist_ok=True)
    with concurrent.futures.ProcessPoolExecutor(workers) as executor, path.open("a", encoding="utf-8") as file:
        for result in executor.map(run_one, left):
            file.write(json.dumps(as_row(result)) + "\n")
            file.flush()


def table(rows: Sequence[Row]) -> str:
    """A line a family, and one for each kind of false alarm."""
    lines = ["family        passed  judged  runs  false  lost  broke"]
    for name, cookers in FAMILIES.items():
        mine = [row for row in rows if row["cooker"] in {cooker.name for cooker in cookers}]
        if mine:
            s = summary(mine)
            lines.append(
                f"{name:12}{s['passed']:8.1f}{s['judged']:8.1f}{s['runs']:6}{s['false']:7}{s['lost']:6}{s['broke']:7}"
            )
    return "\n".join(lines)


def parse(words: Sequence[str] | None = None) -> argparse.Namespace:
    """The arguments."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench_suite.families", description=__doc__)
    add = parser.add_argument
    add("--law", default="shipped", metavar="NAME", help="which law; default: %(default)s")
    add("--families", default=",".join(FAMILIES), metavar="LIST", help="default: %(default)s")
    add("--scenarios", default=",".join(SCENARIOS), metavar="LIST", help="default: all")
    add("--seeds", type=int, default=3, metavar="N", help="seeds of every run; default: 3")
    add("--keep", default="", metavar="FILE", help="lines of JSON to go on with; default: build/law/LAW.jsonl")
    add("--workers", type=int, default=1, metavar="N", help="processes; default: %(default)s")
    return parser.parse_args(words)


def main(words: Sequence[str] | None = None) -> int:
    """Run and print; 1 when a run broke."""
    args = parse(words)
    path = Path(args.keep or f"build/law/{args.law}.jsonl")
    sweep(jobs(args.families.split(","), args.law, args.seeds, args.scenarios.split(",")), path, args.workers)
    rows = kept(path)
    print(table(rows))
    return 1 if any(row["problem"] for row in rows) else 0


if __name__ == "__main__":
    sys.exit(main())
