"""Results of a sweep brought together: figures by controller and set of cookers, as one object and as a table."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from .figures import FIGURES, Figure, Summary, summarise
from .jobs import LimitResult, Result

Key = tuple[str, str]  # controller, set of cookers
NEVER = "never"


def add_ratios(results: Sequence[Result], limits: Iterable[LimitResult]) -> list[Result]:
    """Put the ratio to the limit beside the integral of the error, where a limit is known."""
    best = {(row.job.cooker, row.job.scenario, row.job.seed): min(row.found.values()) for row in limits if row.found}
    for result in results:
        job = result.job
        iae_cs, limit_cs = result.figures.get("iae_cs"), best.get((job.cooker, job.scenario, job.seed))
        if iae_cs is not None and limit_cs:
            result.figures["iae_ratio"] = iae_cs / limit_cs
    return list(results)


def under_the_limit(results: Iterable[Result]) -> list[Result]:
    """Runs that did better than the limit: each proves the limit wrong, and fails the bench."""
    return [row for row in results if (row.figures.get("iae_ratio") or 1.0) < 1.0]


def summaries(results: Iterable[Result]) -> dict[Key, dict[str, Summary]]:
    """Mean and worst of every figure, by controller and set."""
    values: dict[Key, dict[str, list[float | None]]] = defaultdict(lambda: defaultdict(list))
    for row in results:
        for key, value in row.figures.items():
            values[row.job.controller, row.job.cooker.group][key].append(value)
    return {
        key: {figure.key: summarise(figure, found[figure.key]) for figure in FIGURES if figure.key in found}
        for key, found in values.items()
    }


def worst_run(results: Iterable[Result], figure: Figure, controller: str) -> Result | None:
    """The run in which a figure is worst for a controller; never is worse than any number."""
    runs = [row for row in results if row.job.controller == controller and figure.key in row.figures]
    sign = -1.0 if figure.at_least else 1.0

    def badness(row: Result) -> float:
        value = row.figures[figure.key]
        return float("inf") if value is None else sign * value

    return max(runs, key=badness, default=None)


def as_object(results: Sequence[Result], limits: Sequence[LimitResult]) -> dict[str, Any]:
    """Everything for `--json`: units are in the figures' keys."""
    return {
        "figures": {figure.key: _bounds(figure) for figure in FIGURES},
        "summary": [
            {
                "controller": controller,
                "cookers": group,
                "figures": {
                    key: {
                        "mean": s.mean,
                        "worst": s.worst,
                        "runs": s.runs,
                        "never": s.never,
                        "verdict": s.verdict(_figure(key)),
                    }
                    for key, s in found.items()
                },
            }
            for (controller, group), found in summaries(results).items()
        ],
        "runs": [_run(row) for row in results],
        "limits": [
            {
                "cooker": r.job.cooker.name,
                "scenario": r.job.scenario,
                "seed": r.job.seed,
                **r.found,
                "problem": r.problem,
            }
            for r in limits
        ],
    }


def _figure(key: str) -> Figure:
    return next(figure for figure in FIGURES if figure.key == key)


def _bounds(figure: Figure) -> dict[str, Any]:
    return {
        "title": figure.title,
        "unit": figure.unit,
        "pass_mean": figure.pass_mean,
        "pass_worst": figure.pass_worst,
        "aim_mean": figure.aim_mean,
        "aim_worst": figure.aim_worst,
        "at_least": figure.at_least,
    }


def _run(row: Result) -> dict[str, Any]:
    job = row.job
    return {
        "controller": job.controller,
        "cooker": job.cooker.name,
        "cookers": job.cooker.group,
        "scenario": job.scenario,
        "seed": job.seed,
        "figures": row.figures,
        "alarms": [{"t_s": t_s, "name": name} for t_s, name in row.alarms],
        "problem": row.problem,
    }


def table(results: Sequence[Result]) -> str:
    """One block for each set of cookers: a row a figure, a column a controller, mean / worst, ours judged."""
    found = summaries(results)
    groups = list(dict.fromkeys(group for _, group in found))
    return "\n\n".join(_block(found, group) for group in groups)


def _block(found: dict[Key, dict[str, Summary]], group: str) -> str:
    controllers = [controller for controller, its_group in found if its_group == group]
    rows = [[f"cookers: {group}", *controllers, "", "pass"]]
    for figure in FIGURES:
        cells = [found[controller, group].get(figure.key) for controller in controllers]
        if any(cell is not None for cell in cells):
            verdict = "" if cells[0] is None else cells[0].verdict(figure)
            rows.append([_title(figure), *(_cell(cell) for cell in cells), verdict, _wanted(figure)])
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    )


def _title(figure: Figure) -> str:
    return f"{figure.title}, {figure.unit}" if figure.unit else figure.title


def _cell(summary: Summary | None) -> str:
    if summary is None:
        return "-"
    if summary.mean is None or summary.worst is None:
        return NEVER
    text = f"{number(summary.mean)} / {number(summary.worst)}"
    return f"{text} ({summary.never} {NEVER})" if summary.never else text


def number(value: float) -> str:
    """Three significant figures, without an exponent."""
    size = abs(value)
    return f"{value:.0f}" if size >= 100.0 else f"{value:.1f}" if size >= 10.0 else f"{value:.3g}"


def _wanted(figure: Figure) -> str:
    bounds = [_bound(figure.pass_mean), _bound(figure.pass_worst)]
    return "" if bounds == ["", ""] else " / ".join(bound or "-" for bound in bounds)


def _bound(value: float | None) -> str:
    return "" if value is None else number(value)


def problems(results: Iterable[Result], limits: Iterable[LimitResult]) -> list[str]:
    """One line for each run that broke or could not be; a bench that hides them would lie."""
    lines = [f"{row.job.label}: {row.problem}" for row in results if row.problem]
    return lines + [
        f"limit of {row.job.cooker.name}.{row.job.scenario}.{row.job.seed}: {row.problem}"
        for row in limits
        if row.problem
    ]
