"""Small changes in the other rooms of the house: a sample of each module, drawn by a seed that is written here.

    python -m tests.mutants.rooms [ROOM ...] [--most N]

The changes are those of tests/safety/mutate.py (comparisons, numbers by a tenth, and/or, + and -, min and max). Of each
module at most MOST are tried. What none of the tests beside it notices needs a line in tests/mutants/survivors.py that
says why it may live. A room's figure is a share of a sample, so it comes with its interval (Wilson 1927, 95 %).
"""

from __future__ import annotations

import argparse
import os
import sys
from math import sqrt
from random import Random
from typing import NamedTuple

from tests.mutants.survivors import SURVIVORS
from tests.safety import mutate

MOST = 60
SEED = 1927
LEAST = 0.92
SIGMA_95 = 1.959964

# Room: its modules, each with the tests that should notice.
ROOMS: dict[str, dict[str, list[str]]] = {
    "statistics": {
        "host/emberdraft/trials/compare.py": ["tests/trials/test_compare.py", "tests/trials/test_contrasts.py"],
        "host/emberdraft/trials/blocked.py": ["tests/trials/test_blocked.py"],
        "host/emberdraft/trials/tasting.py": ["tests/trials/test_tasting.py"],
    },
    "food": {
        "host/emberdraft/food/brine.py": ["tests/food/test_brine.py", "tests/food/test_brine_plan.py"],
        "host/emberdraft/food/lethality.py": ["tests/food/test_lethality.py"],
    },
    "units": {"host/emberdraft/quantities.py": ["tests/daemon/test_quantities.py"]},
    "ingest": {"host/emberdraft/daemon/intake.py": ["tests/daemon/test_ingest_boards.py"]},
    "alarms": {
        "host/emberdraft/daemon/alarms.py": ["tests/daemon/test_alarms.py", "tests/daemon/test_alarm_keeper.py"]
    },
    "store": {
        "host/emberdraft/store/records.py": ["tests/store/test_records.py"],
        "host/emberdraft/store/strip.py": ["tests/store/test_strip.py", "tests/store/test_slices.py"],
        "host/emberdraft/store/gaps.py": ["tests/store/test_gaps.py"],
    },
    "door": {
        "host/emberdraft/web/door.py": ["tests/web/test_door.py"],
        "host/emberdraft/web/guard.py": ["tests/web/test_routes.py", "tests/web/test_acts.py"],
    },
    "firmware": {
        "link/spool.py": ["tests/link/test_spool.py"],
        "core/lid.py": ["tests/core/test_lid.py"],
        "core/trust.py": ["tests/core/test_trust.py"],
        "core/pid.py": ["tests/core/test_pid.py"],
        "drivers/mcp9600.py": ["tests/drivers/test_mcp9600.py"],
    },
}


class Found(NamedTuple):
    """Of a room: how many changes were tried, which no test noticed, and which of these nothing explains."""

    tried: int
    lived: list[str]

    @property
    def unexplained(self) -> list[str]:
        return [key for key in self.lived if key not in SURVIVORS]

    @property
    def share(self) -> float:
        """Noticed, of those tried; what is explained has lived all the same."""
        return 1.0 - len(self.lived) / self.tried


def sample(file: str, most: int = MOST) -> list[int]:
    """The places in `mutate.keys(file)` that are tried: the same ones every time."""
    places = [place for place, key in enumerate(mutate.keys(file)) if not of_a_type(key)]
    return sorted(Random(f"{SEED} {file}").sample(places, min(most, len(places))))


def of_a_type(key: str) -> bool:
    """Whether the change is in `int | None` and its like: an annotation, which Python here never works out."""
    return "| None" in key and key.endswith(": BitOr to BitAnd")


def wilson(hits: int, count: int) -> tuple[float, float]:
    """The 95 % interval of a share (E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209)."""
    share, z2 = hits / count, SIGMA_95**2
    middle = (share + z2 / (2.0 * count)) / (1.0 + z2 / count)
    half = SIGMA_95 / (1.0 + z2 / count) * sqrt(share * (1.0 - share) / count + z2 / (4.0 * count**2))
    return middle - half, middle + half


def judge(room: str, most: int = MOST) -> Found:
    """Try the sample of each of its modules."""
    tried, lived = 0, []
    for file, tests in ROOMS[room].items():
        places = sample(file, most)
        tried += len(places)
        lived += mutate.survivors(file, places, [[test] for test in tests])
    return Found(tried, lived)


def main() -> int:
    """Print each room's figure and what lived."""
    import pytest  # noqa: F401 - before the forks, so that none has to load it

    parser = argparse.ArgumentParser(prog="python -m tests.mutants.rooms")
    parser.add_argument("rooms", nargs="*")
    parser.add_argument("--most", type=int, default=MOST)
    asked = parser.parse_args()
    os.chdir(mutate.ROOT)
    sys.path[:0] = [str(mutate.ROOT / part) for part in (".", "host", "firmware")]
    for room in asked.rooms or ROOMS:
        found = judge(room, asked.most)
        low, high = wilson(found.tried - len(found.lived), found.tried)
        print(f"{room}: {found.share:.0%} of {found.tried} noticed ({low:.0%} to {high:.0%})", flush=True)
        print("".join(f"    {key}\n" for key in found.lived), end="", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
