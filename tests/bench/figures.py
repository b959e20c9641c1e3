"""`make bench`: speed and size, printed as figures beside what was wanted. Nothing here passes or fails."""

from __future__ import annotations

import json
import platform
import resource
import sys
from typing import Any

from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.rehearsal import Rehearsal
from tests.bench import board_figures

WANTED = {
    "core and plant, four-hour plan, times real time of CPU": "at least 5000",
    "lock-step micropython, times real time": "at least 300",
}


def core_and_plant() -> dict[str, float]:
    """The rehearsal's whole second (core, cooker, weather, probes, plan, person), against CPU time."""
    plan = load_plan("two_chops")
    rehearsal = Rehearsal(plan, None, None, 0, 0.0)
    before_s = resource.getrusage(resource.RUSAGE_SELF).ru_utime
    summary = rehearsal.run()
    used_s = resource.getrusage(resource.RUSAGE_SELF).ru_utime - before_s
    return {"core and plant, four-hour plan, times real time of CPU": round(summary["simulated_s"] / used_s)}


def main() -> int:
    """Print every figure; `--json` for one object."""
    print(f"Python {platform.python_version()} on {platform.machine()}; the computer should be idle.", file=sys.stderr)
    found: dict[str, Any] = {}
    for part in (core_and_plant, board_figures.figures):
        found.update(part())
        if "--json" not in sys.argv:
            for name, value in found.items():
                wanted = f"   ({WANTED[name]})" if name in WANTED else ""
                print(f"{name:<66} {value}{wanted}", flush=True)
            found.clear()
    if "--json" in sys.argv:
        print(json.dumps(found, indent=1))
    return 0


if __name__ == "__main__":
    sys.exit(main())
