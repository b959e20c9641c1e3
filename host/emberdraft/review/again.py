"""*Again*: a plan made from what was really done in a cook, and how it differs from the plan the cook began with.

Targets are those held last in each phase, vents stand as they stood longest, times are those taken, a piece's pull is
the core when it was pulled, gains those in force. What the record does not tell stays as it was planned.
"""

from __future__ import annotations

import json
import re
import statistics
import tomllib
from collections.abc import Callable
from typing import Any, NamedTuple

from emberdraft import quantities
from emberdraft.errors import UserError
from emberdraft.phases import PHASES, held_in
from emberdraft.review.columns import Row
from emberdraft.review.figures import CookRecord, figures_of
from emberdraft.review.gains_done import gains_changes, gains_done
from emberdraft.review.happened import clock
from emberdraft.review.toml_text import TABLES, toml_text

DRIVE_LONGEST_S = 10800.0
LONGEST_NAME = 80
# Closer than this to what was planned is as planned.
SAME_C, SAME_SHARE, SAME_S, SAME_PART = 0.5, 0.02, 5.0, 0.03


class Again(NamedTuple):
    """The plan's text, its name, and each difference in a line."""

    text: str
    name: str
    changes: list[str]


def again_of(record: CookRecord, cook_id: int) -> Again:
    """A plan from a cook. Raises UserError when there is no cook of that number, or nothing was held in it."""
    figures = figures_of(record, cook_id)
    done = _phases(figures["phases"])
    if not {"slow", "climb"} & set(done):
        raise UserError(f"cook {cook_id}: it never came to slow or climb; there is nothing to do again")
    plan = _first_plan(record, cook_id)
    making = Making(plan)
    making.without(done, figures["marks"])
    making.phases(done, figures)
    making.pieces(figures["pieces"])
    _gains(making, figures["tunings"], done)
    making.changes.sort(key=_place)
    name = _head(plan, figures["cook"])
    return Again(_remark(figures["cook"], making.changes) + toml_text(plan), name, making.changes)


def _first_plan(record: CookRecord, cook_id: int) -> dict[str, Any]:
    """The tables of the plan the cook began with; empty for a cook without one."""
    cook = record.cook(cook_id)
    kept = record.plan(cook["plan_id"]) if cook and cook["plan_id"] is not None else None
    try:
        return tomllib.loads(kept["text"]) if kept else {}
    except ValueError:
        raise UserError(f"cook {cook_id}: the plan it began with cannot be read as TOML") from None


def _phases(rows: list[Row]) -> dict[str, Row]:
    """By name; a phase that was gone back to is one, with the time of both and the last target."""
    found: dict[str, Row] = {}
    for row in rows:
        before = found.get(row["phase"])
        length_s = (row["duration_s"] or 0.0) + (before["duration_s"] if before else 0.0)
        target_c = row["target_c"] if row["target_c"] is not None else before and before["target_c"]
        start_s = before["start_s"] if before else row["start_s"]
        found[row["phase"]] = {"start_s": start_s, "duration_s": length_s, "target_c": target_c}
    return found


def _place(change: str) -> int:
    """Where in a plan a difference stands."""
    return TABLES.index(re.findall(r"\w+", change)[0])


def _head(plan: dict[str, Any], cook: Row) -> str:
    name = str(cook["name"])
    name = name if name.endswith(", again") else f"{name[: LONGEST_NAME - 7]}, again"
    told = f"Made from what was really done in cook {cook['id']}, begun {clock(cook['start_s'], '%Y-%m-%d %H:%M')}."
    plan.update(version=1, name=name, invented=cook["invented"], note=told)
    return name


def _remark(cook: Row, changes: list[str]) -> str:
    first = f"# Made from what was really done in cook {cook['id']}, {json.dumps(cook['name'], ensure_ascii=False)}."
    told = ["# Against the plan it began with:", *(f"#   {line}" for line in changes)]
    return "\n".join([first, *(told if changes else ["# All of it as planned."]), "", ""])


def _gains(making: Making, tunings: list[Row], done: dict[str, Row]) -> None:
    found = gains_done(tunings, {name: row["start_s"] for name, row in done.items()})
    planned = making.plan.get("gains", [])
    if not tunings or not gains_changes(planned, found):
        return
    making.changes += gains_changes(planned, found)
    making.plan["gains"] = found
    if not found:
        del making.plan["gains"]


class Making:
    """The plan's tables on their way from what was planned to what was done."""

    def __init__(self, plan: dict[str, Any]) -> None:
        self.plan = plan
        self.plan.setdefault("light", {})
        self.changes: list[str] = []

    def without(self, done: dict[str, Row], marks: list[Row]) -> None:
        """Takes out what was planned and never happened, and makes room for what did."""
        kinds = {mark["kind"] for mark in marks}
        gone = [name for name in PHASES if held_in(name) and name in self.plan and name not in done and name != "light"]
        gone += ["set_up"] if "set_up" in self.plan and "set_up" not in kinds else []
        for name in gone:
            del self.plan[name]
            self.changes.append(f"[{name}]: planned, not done")
        for name in done:
            self.plan.setdefault(name, {})

    def phases(self, done: dict[str, Row], figures: dict[str, Any]) -> None:
        """Targets, vents and times."""
        # The soak last: its target is that of the slow phase when it does not say its own.
        for name in sorted(done, key=lambda name: name == "soak"):
            row = done[name]
            if held_in(name) and row["target_c"] is not None and name != "sear":
                self._target(name, row["target_c"])
            if name in ("light", "slow"):
                self._vents(name, row, figures["marks"])
            if held_in(name) and name not in ("soak", "sear"):  # those are timed in their own ways, below
                self._span(name, "expect", row["duration_s"])
        if "soak" in done:
            self._soak(done["soak"], figures["marks"])
        if "slow" in done and ("for" in self.plan["slow"] or not figures["pieces"]):
            self._span("slow", "for", done["slow"]["duration_s"])
        if "climb" in done:
            self._raise("climb", "longest", 2700.0, min(done["climb"]["duration_s"], DRIVE_LONGEST_S))
        if "sear" in done:
            self._sear(figures["pieces"])

    def pieces(self, rows: list[Row]) -> None:
        """Pulls as they were; a piece that never went on is left out."""
        planned = {piece.get("letter"): piece for piece in self.plan.pop("piece", [])}
        kept = [row for row in rows if row["on_s"] is not None and "slow" in self.plan]
        self.changes += [f"[piece {row['letter']}]: planned, not put on" for row in rows if row not in kept]
        tables = [self._piece(row, planned.get(row["letter"], {}), kept[0]["on_s"]) for row in kept]
        if tables:
            self.plan["piece"] = tables

    def _target(self, name: str, target_c: float) -> None:
        key = "stone" if name == "climb" else "target"
        usual = self.plan.get("slow", {}).get("target", self.plan["light"].get("target")) if name == "soak" else None
        self._put(f"[{name}]", self.plan[name], key, target_c, _celsius, SAME_C, quantities.temperature_c, usual)
        recover = self.plan.get("sear", {}).get("recover")
        if name == "climb" and recover is not None and quantities.temperature_c(recover) > target_c:
            del self.plan["sear"]["recover"]

    def _vents(self, name: str, phase: Row, marks: list[Row]) -> None:
        for vent in ("vent_top", "vent_bottom"):
            opening = stood_longest(marks, vent, phase["start_s"], phase["start_s"] + phase["duration_s"])
            usual = self.plan["light"].get(vent) if name == "slow" else None
            if opening is not None:
                table = self.plan[name]
                self._put(f"[{name}]", table, vent, opening, _share, SAME_SHARE, quantities.share, usual)

    def _soak(self, phase: Row, marks: list[Row]) -> None:
        """Until the lid was opened for the cold parts: the phase lasts until they are in."""
        end_s = phase["start_s"] + phase["duration_s"]
        opened = [m["at_s"] for m in marks if m["kind"] == "lid_open" and phase["start_s"] < m["at_s"] < end_s]
        last_s = opened[-1] if opened and "set_up" in self.plan else end_s
        self._span("soak", "least", last_s - phase["start_s"])
        self._raise("soak", "longest", 2400.0, last_s - phase["start_s"])

    def _sear(self, pieces: list[Row]) -> None:
        taken = [side["duration_s"] for piece in pieces for side in piece["sides"] if side["duration_s"] is not None]
        if not taken:
            return
        self._span("sear", "per_side", statistics.median(taken))
        sides, planned = max(len(piece["sides"]) for piece in pieces), self.plan["sear"].get("sides", 2)
        if sides != planned:
            self.plan["sear"]["sides"] = sides
            self.changes.append(f"[sear] sides: planned {planned}, done {sides}")

    def _piece(self, row: Row, planned: dict[str, Any], first_on_s: float) -> dict[str, Any]:
        place = f"[piece {row['letter']}]"
        table = {"letter": row["letter"], "name": row["name"], **planned}
        if row["probe"] is not None:
            table["probe"] = row["probe"]
        pull_c = row["pull_c"] if row["pulled_c"] is None else row["pulled_c"]
        if pull_c is not None:
            self._put(place, table, "pull", pull_c, _celsius, SAME_C, quantities.temperature_c)
            rest_c = max(pull_c, row["rest_c"] or pull_c)
            final = table.setdefault("final", _celsius(rest_c))
            if quantities.temperature_c(final) < quantities.temperature_c(table["pull"]):
                self._put(place, table, "final", pull_c, _celsius, 0.0, quantities.temperature_c)
        if row["probe"] is None and row["on_to_pull_s"] is not None:
            self._put_span(place, table, "check_after", row["on_to_pull_s"])
        if row["on_s"] - first_on_s > 300.0 or "on_after" in table:
            self._put_span(place, table, "on_after", row["on_s"] - first_on_s)
        return table

    def _span(self, name: str, key: str, span_s: float) -> None:
        self._put_span(f"[{name}]", self.plan[name], key, span_s)

    def _put_span(self, place: str, table: dict[str, Any], key: str, span_s: float) -> None:
        same_s = max(SAME_S, SAME_PART * span_s)
        self._put(place, table, key, span_s, _span_text, same_s, quantities.duration_s)

    def _raise(self, name: str, key: str, usual_s: float, least_s: float) -> None:
        """A longest time that what was done went beyond follows it."""
        planned = self.plan[name].get(key)
        if (usual_s if planned is None else quantities.duration_s(planned)) < least_s:
            self._put_span(f"[{name}]", self.plan[name], key, least_s + 60.0)

    def _put(
        self,
        place: str,
        table: dict[str, Any],
        key: str,
        value: float,
        say: Callable[[float], str],
        same: float,
        read: Callable[[object], float],
        usual: str | None = None,
    ) -> None:
        """Writes a value unless it is as planned. `usual`: what holds when the plan does not say."""
        planned = table.get(key)
        in_force = usual if planned is None else planned
        if in_force is not None and abs(read(in_force) - value) <= same:
            return
        table[key] = say(value)
        before = "not said" if planned is None else f"planned {planned}"
        self.changes.append(f"{place} {key}: {before}, done {table[key]}")


def stood_longest(marks: list[Row], vent: str, start_s: float, end_s: float) -> float | None:
    """How far a vent stood open for most of a stretch, by its marks; None when nothing was marked until then."""
    moved = [(mark["at_s"], mark["value"]) for mark in marks if mark["kind"] == vent and mark["value"] is not None]
    stood: dict[float, float] = {}
    for k, (at_s, opening) in enumerate(moved):
        until_s = moved[k + 1][0] if k + 1 < len(moved) else end_s
        inside_s = min(until_s, end_s) - max(at_s, start_s)
        if inside_s > 0.0:
            stood[opening] = stood.get(opening, 0.0) + inside_s
    return max(stood, key=lambda opening: stood[opening]) if stood else None


def _celsius(value_c: float) -> str:
    return f"{round(value_c, 1):g}C"


def _share(opening: float) -> str:
    return f"{100.0 * opening:.0f} %"


def _span_text(span_s: float) -> str:
    """Whole minutes from ten minutes on, else seconds."""
    if span_s < 600.0:
        return f"{span_s:.0f} s"
    hours, minutes = divmod(round(span_s / 60.0), 60)
    return f"{hours}h{minutes}min" if hours else f"{minutes} min"
