"""The strangers by name, and one run of a story on one of them: plain data in, plain data out."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

from emberdraft.bench.cookers import Cooker, load_class
from emberdraft.bench.jobs import CONTROLLERS, Job, Result, fresh_rig
from emberdraft.bench.judge import judge
from emberdraft.bench.rig import NotPossibleError
from emberdraft.bench.scenarios import SCENARIOS
from emberdraft.bench.scores import window
from emberdraft.bench.sensors import Sensors
from emberdraft.bench.trace import Trace, play

from .common import Stranger
from .probes import Poor, Thermowell

FROST_C = -10.0
EVERY_ROWS = 10
KINDS = {
    "clay_pot": "ClayPot",
    "baffle_jar": "BaffleJar",
    "tin_pail": "TinPail",
    "great_urn": "GreatUrn",
    "long_flue": "LongFlue",
    "damp_heap": "DampHeap",
    "frost_kettle": "FrostKettle",
    "storm_forge": "StormForge",
}
PROBES: dict[str, type[Sensors]] = {"baffle_jar": Thermowell, "frost_kettle": Poor}


def _where(name: str) -> str:
    return f"tests.bench_suite.strangers.{name}:{KINDS[name]}"


def kind(name: str) -> type[Stranger]:
    """The class of a stranger."""
    return load_class(_where(name))  # type: ignore[no-any-return]


def stranger(name: str) -> Cooker:
    """A stranger as the bench takes it; the bench's seed also draws its constants."""
    cold = name == "frost_kettle"
    more = (("start_c", FROST_C),) if cold else ()
    return Cooker(name, _where(name), 0, "strangers", more, FROST_C if cold else 20.0)


STRANGERS = tuple(stranger(name) for name in KINDS)


@dataclass(frozen=True)
class Errand:
    """A run, and where its columns shall be kept ('' nowhere)."""

    job: Job
    folder: str = ""


def run_errand(errand: Errand) -> Result:
    """Play and judge; what a cooker cannot do and what breaks are results too."""
    job = errand.job
    try:
        rig = fresh_rig(job.cooker, job.scenario, job.seed)
        controller = CONTROLLERS[job.controller.split(" ")[0]](job)
        trace = play(controller, rig, PROBES.get(job.cooker.name, Sensors)(job.seed))
    except NotPossibleError as reason:
        return Result(job, {}, problem=str(reason), not_possible=True)
    except Exception as error:  # one bad run must not end the sweep
        return Result(job, {}, problem=f"{type(error).__name__}: {error}")
    figures = judge(trace, SCENARIOS[job.scenario])
    if job.scenario == "hold":
        figures.update(swing(trace))
    if job.scenario == "stuck_off" and not missed(trace):
        figures.pop("stuck_off_alarm_min", None)
    if errand.folder:
        keep(trace, Path(errand.folder) / f"{job.label}.csv")
    return Result(job, figures, tuple(trace.alarms))


def missed(trace: Trace) -> bool:
    """Whether the dead blower was called for: where the draught alone holds, nobody can know that it is dead."""
    first, end = window(trace.t_s, 100 * 60.0, 140 * 60.0)
    return sum(trace.blower[first:end]) > 0.05 * (end - first)


def swing(trace: Trace) -> dict[str, float | None]:
    """Peak to peak and mean period of the pit around its own mean in the last 75 min of a hold."""
    first, end = window(trace.t_s, trace.t_s[-1] - 75 * 60.0)
    pit_c = trace.pit_c[first:end]
    mean_c = sum(pit_c) / len(pit_c)
    ups, above = [], pit_c[0] > mean_c
    for t_s, value_c in zip(trace.t_s[first:end], pit_c, strict=True):
        if not above and value_c > mean_c + 0.3:
            ups.append(t_s)
            above = True
        above = above and value_c > mean_c - 0.3
    period = (ups[-1] - ups[0]) / (len(ups) - 1) / 60.0 if len(ups) > 1 else None
    return {"swing_c": max(pit_c) - min(pit_c), "swing_min": period}


def keep(trace: Trace, path: Path) -> None:
    """Every tenth row as CSV, alarms and deeds as rows of their own at the end."""
    with path.open("w", encoding="utf-8", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(["t_s", "pit_c", "target_c", "stone_c", "blower", "intake", "fuel_kg", "lid_open"])
        columns = (trace.pit_c, trace.target_c, trace.stone_c, trace.blower, trace.intake, trace.fuel_kg)
        for i in range(0, len(trace.t_s), EVERY_ROWS):
            rows.writerow([trace.t_s[i], *(round(c[i], 3) for c in columns), int(trace.lid_open[i])])
        rows.writerows([t_s, "alarm", name] for t_s, name in trace.alarms)
        rows.writerows([t_s, "deed", name] for t_s, name in trace.deeds)
