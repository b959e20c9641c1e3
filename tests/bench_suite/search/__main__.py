"""`nice -n 19 python -m tests.bench_suite.search`: CMA-ES (Hansen 2016, the package cma) over all training cookers at once.

Every generation draws its own cookers and seeds, the same for all its candidates. The state is kept after each
generation: the same command goes on. One process; `--minutes` ends it. The best so far is printed as the tuple `C`.
"""  # noqa: E501

from __future__ import annotations

import argparse
import math
import pickle
import random
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from emberdraft.bench.cookers import Cooker
from emberdraft.bench.law import onelaw
from emberdraft.errors import UserError
from tests.bench_suite.families import FAMILIES

from .objective import cost, of_all
from .quick import cook, law_of

SIZE = 0.25  # a step of one in the search is so much of a constant's logarithm
SHARE = {"tuned_on": 4, "validation": 3, "strangers": 4, "hearths": 4}
FAR = 0.02  # what a candidate pays for each unit that it is away from where the search began


def constants(x: Sequence[float], start: Sequence[float] = onelaw.C) -> list[float]:
    """A candidate's constants: each the first ones' times a power."""
    return [first * math.exp(SIZE * step) for first, step in zip(start, x, strict=True)]


def drawn(chance: random.Random) -> list[tuple[Cooker, int]]:
    """Cookers and seeds of a generation: some of every family."""
    picked = [cooker for name, count in SHARE.items() for cooker in chance.sample(FAMILIES[name], count)]
    return [(cooker, chance.randint(1, 30)) for cooker in picked]


def value(x: Sequence[float], work: Sequence[tuple[Cooker, int]]) -> float:
    """The objective of a candidate on these cookers; what cannot be reckoned is as bad as can be."""
    try:
        costs = [cost(cook(law_of(constants(x)), cooker, seed)) for cooker, seed in work]
    except (ArithmeticError, ValueError):
        return 1e3
    return of_all(costs) + FAR * math.sqrt(sum(step * step for step in x))


def main(words: Sequence[str] | None = None) -> int:
    """Search, and keep."""
    try:
        import cma
    except ImportError as error:
        raise UserError("the search needs the package cma: pip install emberdraft[bench]") from error
    parser = argparse.ArgumentParser(prog="python -m tests.bench_suite.search", description=__doc__)
    parser.add_argument("--keep", default="build/law/search.pickle", metavar="FILE")
    parser.add_argument("--minutes", type=float, default=10.0)
    args = parser.parse_args(words)
    path = Path(args.keep)
    path.parent.mkdir(parents=True, exist_ok=True)
    if path.exists():
        search: Any = pickle.loads(path.read_bytes())
    else:
        search = cma.CMAEvolutionStrategy([0.0] * len(onelaw.C), 0.6, {"seed": 21, "CMA_diagonal": True, "verbose": -9})
    end_s = time.monotonic() + 60.0 * args.minutes
    while time.monotonic() < end_s:
        work = drawn(random.Random(f"generation {search.countiter}"))
        candidates = search.ask()
        values = [value(x, work) for x in candidates]
        search.tell(candidates, values)
        path.write_bytes(pickle.dumps(search))
        before = value([0.0] * len(onelaw.C), work)
        mean = ", ".join(f"{each:.4g}" for each in constants(search.mean))
        print(
            f"{search.countiter} best {min(values):.3f} first {before:.3f} mean ({mean})", file=sys.stderr, flush=True
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
