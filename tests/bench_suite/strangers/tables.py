"""What the runs on strangers say: the bench's table, the worst of each cooker, false alarms by name, fires lost."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from emberdraft.bench import report
from emberdraft.bench.figures import FIGURES, Figure
from emberdraft.bench.jobs import OURS, Result
from emberdraft.bench.scenarios import SCENARIOS

EXTRA = (
    Figure("swing_c", "hold: swing in the last 75 min", "degC p-p"),
    Figure("swing_min", "hold: its period", "min"),
)


def false_alarms(results: Sequence[Result]) -> list[dict[str, Any]]:
    """Trips and notices of ours in fault-free time, each with its run."""
    rows = []
    for row in results:
        story = SCENARIOS[row.job.scenario]
        clean_s = story.upset_s if story.fault and story.upset_s is not None else float("inf")
        for t_s, name in row.alarms:
            if row.job.controller == OURS and t_s < clean_s:
                run = {"cooker": row.job.cooker.name, "scenario": row.job.scenario, "seed": row.job.seed}
                rows.append({"name": name, **run, "t_min": round(t_s / 60.0, 1)})
    return sorted(rows, key=lambda found: (found["name"], found["cooker"], found["scenario"], found["seed"]))


def fires_lost(results: Sequence[Result]) -> list[str]:
    """Runs that ended with too small a fire, of all controllers."""
    return [row.job.label for row in results if row.figures.get("fire_lost")]


def as_object(results: Sequence[Result]) -> dict[str, Any]:
    """For `--json`, beside the bench's own object."""
    return {"false_alarms": false_alarms(results), "fires_lost": fires_lost(results)}


def text(results: Sequence[Result]) -> str:
    """Everything for a person."""
    alarms = [
        f"  {a['name']}: {a['cooker']} {a['scenario']} seed {a['seed']} at {a['t_min']} min"
        for a in false_alarms(results)
    ]
    lines = [report.table(results), "", f"Worst of each cooker ({OURS}):", worst_by_cooker(results), ""]
    lines += [f"False alarms ({OURS}): {len(alarms)}", *alarms, ""]
    lines += ["Fires lost:", *(f"  {label}" for label in fires_lost(results)), ""]
    lines += ["Worst runs:", *worst_runs(results), *report.problems(results, [])]
    return "\n".join(lines)


def worst_by_cooker(results: Sequence[Result]) -> str:
    """A row a figure, a column a cooker."""
    names = list(dict.fromkeys(row.job.cooker.name for row in results))
    rows = [["", *names]]
    for figure in (*FIGURES, *EXTRA):
        cells = [_worst([r for r in results if r.job.cooker.name == name], figure) for name in names]
        if any(cells):
            rows.append([f"{figure.title}, {figure.unit}", *cells])
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return "\n".join("  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip() for row in rows)


def _worst(results: Sequence[Result], figure: Figure) -> str:
    row = report.worst_run(results, figure, OURS)
    if row is None:
        return ""
    value = row.figures[figure.key]
    return report.NEVER if value is None else report.number(value)


def worst_runs(results: Sequence[Result]) -> list[str]:
    """The worst run of each bounded figure."""
    lines = []
    for figure in FIGURES:
        row = report.worst_run(results, figure, OURS)
        if row is not None and figure.pass_worst is not None:
            value = row.figures[figure.key]
            shown = report.NEVER if value is None else report.number(value)
            lines.append(f"  {figure.title}: {shown} ({row.job.label})")
    return lines
