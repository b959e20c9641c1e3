"""*Again*: the plan that a cook began with, and each difference of what was done in it, to be taken or left.

What nobody takes stays as it was planned: a late hand is no wish. Done are the targets held last in each phase, vents
as they stood longest, times as they were taken, a piece's pull as its core when it was pulled, the gains in force. A
cook without a plan has only its record: all of it is taken.
"""

from __future__ import annotations

import json
import statistics
from collections.abc import Callable, Collection
from typing import Any, NamedTuple

from emberdraft import quantities
from emberdraft.errors import UserError
from emberdraft.phases import PHASES, held_in
from emberdraft.review.columns import Row
from emberdraft.review.figures import CookRecord, figures_of
from emberdraft.review.gains_done import gains_changes, gains_done
from emberdraft.review.happened import clock
from emberdraft.review.planned import first_plan
from emberdraft.review.toml_text import TABLES, celsius_text, share_text, span_text, toml_text

DRIVE_LONGEST_S = 10800.0
LONGEST_NAME = 80
# Closer than this to what was planned is as planned.
SAME_C, SAME_SHARE, SAME_S, SAME_PART = 0.5, 0.02, 5.0, 0.03


class Difference(NamedTuple):
    """One line, and what it is taken by: lines of one `id` belong together."""

    id: str
    text: str
    taken: bool


class Again(NamedTuple):
    """The plan's text, its name, and each difference."""

    text: str
    name: str
    differences: list[Difference]


def again_of(record: CookRecord, cook_id: int, take: Collection[str] = ()) -> Again:
    """The plan of a cook with the differences named in `take`; 'all' takes each.

    Raises UserError when there is no cook of that number, nothing was held in it, or there is no such difference.
    """
    figures = figures_of(record, cook_id)
    done = _phases(figures["phases"])
    if not {"slow", "climb"} & set(done):
        raise UserError(f"cook {cook_id}: it never came to slow or climb; there is nothing to do again")
    plan = first_plan(record, cook_id)
    making = Making(plan, ("all",) if not plan else take)
    making.without(done, figures["marks"])
    making.phases(done, figures)
    making.pieces(figures["pieces"])
    _gains(making, figures["tunings"], done)
    making.differences.sort(key=_place)
    _known(take, making.differences)
    name = _head(plan, figures["cook"])
    return Again(_remark(figures["cook"], making.differences) + toml_text(plan), name, making.differences)


def _known(take: Collection[str], differences: list[Difference]) -> None:
    ids = sorted({one.id for one in differences})
    for name in take:
        if name != "all" and name not in ids:
            raise UserError(f"take {name!r}: one of {', '.join(ids) or 'none: all was as planned'} would be right")


def _phases(rows: list[Row]) -> dict[str, Row]:
    """By name; a phase that was gone back to is one, with the time of both and the last target."""
    found: dict[str, Row] = {}
    for row in rows:
        before = found.get(row["phase"])
        took_s = row["time_to_target_s"] if row["phase"] == "climb" else None  # what came after was waiting
        length_s = (took_s or row["duration_s"] or 0.0) + (before["duration_s"] if before else 0.0)
        target_c = row["target_c"] if row["target_c"] is not None else before and before["target_c"]
        start_s = before["start_s"] if before else row["start_s"]
        found[row["phase"]] = {"start_s": start_s, "duration_s": length_s, "target_c": target_c}
    return found


def _place(difference: Difference) -> int:
    """Where in a plan a difference stands, by its id: the table, a piece of it, or a key in it."""
    return TABLES.index(difference.id.partition(".")[0].partition("-")[0])


def _head(plan: dict[str, Any], cook: Row) -> str:
    name = str(cook["name"])
    name = name if name.endswith(", again") else f"{name[: LONGEST_NAME - 7]}, again"
    told = f"The plan of cook {cook['id']}, begun {clock(cook['start_s'], '%Y-%m-%d %H:%M')}, again."
    plan.update(version=1, name=name, invented=cook["invented"], note=told)
    return name


def _remark(cook: Row, differences: list[Difference]) -> str:
    first = f"# The plan of cook {cook['id']}, {json.dumps(cook['name'], ensure_ascii=False)}, again."
    lines = [first]
    for head, taken in (("# Taken from what was done:", True), ("# As planned, though it was done otherwise:", False)):
        told = [f"#   {one.text}" for one in differences if one.taken == taken]
        lines += [head, *told] if told else []
    return "\n".join([*lines, *([] if differences else ["# All of it was done as planned."]), "", ""])


def _gains(making: Making, tunings: list[Row], done: dict[str, Row]) -> None:
    found = gains_done(tunings, {name: row["start_s"] for name, row in done.items()})
    lines = gains_changes(making.plan.get("gains", []), found) if tunings else []
    if not lines or not all([making.differs("gains", line) for line in lines]):
        return
    making.plan["gains"] = found
    if not found:
        del making.plan["gains"]


class Making:
    """The plan's tables on their way from what was planned to what is taken of what was done."""

    def __init__(self, plan: dict[str, Any], take: Collection[str]) -> None:
        self.plan = plan
        self.take = take
        self.plan.setdefault("light", {})
        self.differences: list[Difference] = []

    def differs(self, id: str, text: str) -> bool:
        """Notes a difference; whether it is taken."""
        taken = "all" in self.take or id in self.take
        self.differences.append(Difference(id, text, taken))
        return taken

    def without(self, done: dict[str, Row], marks: list[Row]) -> None:
        """What was planned and never happened, and what happened and was not planned."""
        kinds = {mark["kind"] for mark in marks}
        gone = [name for name in PHASES if held_in(name) and name in self.plan and name not in done and name != "light"]
        gone += ["set_up"] if "set_up" in self.plan and "set_up" not in kinds else []
        for name in gone:
            if self.differs(name, f"[{name}]: planned, not done"):
                del self.plan[name]
        for name in done:
            if held_in(name) and name not in self.plan and self.differs(name, f"[{name}]: done, not planned"):
                self.plan[name] = {}

    def phases(self, done: dict[str, Row], figures: dict[str, Any]) -> None:
        """Targets, vents and times."""
        done = {name: row for name, row in done.items() if name in self.plan}
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
            self._raise("climb", "expect", 2700.0, min(done["climb"]["duration_s"], DRIVE_LONGEST_S))
        if "sear" in done:
            self._sear(figures["pieces"])

    def pieces(self, rows: list[Row]) -> None:
        """Pulls as they were; a piece that never went on can be left out."""
        tables = {piece.get("letter"): piece for piece in self.plan.pop("piece", [])}
        first_on_s = min((row["on_s"] for row in rows if row["on_s"] is not None), default=0.0)
        for row in rows:
            letter, planned = row["letter"], tables.get(row["letter"])
            place = f"[piece {letter}]"
            if row["on_s"] is None or "slow" not in self.plan:
                if planned and self.differs(_id(place), f"{place}: planned, not put on"):
                    del tables[letter]
            elif planned or self.differs(_id(place), f"{place}: done, not planned"):
                tables[letter] = self._piece(row, planned or {}, first_on_s)
        if tables:
            self.plan["piece"] = list(tables.values())

    def _target(self, name: str, target_c: float) -> None:
        key = "stone" if name == "climb" else "target"
        usual = self.plan.get("slow", {}).get("target", self.plan["light"].get("target")) if name == "soak" else None
        self._put(f"[{name}]", self.plan[name], key, target_c, celsius_text, SAME_C, quantities.temperature_c, usual)
        recover = self.plan.get("sear", {}).get("recover")
        above = name == "climb" and recover is not None and quantities.temperature_c(recover) > target_c
        if above and self.differs("climb.stone", f"[sear] recover: planned {recover}, above the stone's target"):
            del self.plan["sear"]["recover"]

    def _vents(self, name: str, phase: Row, marks: list[Row]) -> None:
        for vent in ("vent_top", "vent_bottom"):
            opening = stood_longest(marks, vent, phase["start_s"], phase["start_s"] + phase["duration_s"])
            usual = self.plan["light"].get(vent) if name == "slow" else None
            if opening is not None:
                table = self.plan[name]
                self._put(f"[{name}]", table, vent, opening, share_text, SAME_SHARE, quantities.share, usual)

    def _soak(self, phase: Row, marks: list[Row]) -> None:
        """Until the lid was opened for the cold parts: the phase lasts until they are in."""
        end_s = phase["start_s"] + phase["duration_s"]
        opened = [m["at_s"] for m in marks if m["kind"] == "lid_open" and phase["start_s"] < m["at_s"] < end_s]
        last_s = opened[-1] if opened and "set_up" in self.plan else end_s
        self._span("soak", "least", last_s - phase["start_s"])
        self._raise("soak", "least", 2400.0, last_s - phase["start_s"])

    def _sear(self, pieces: list[Row]) -> None:
        taken = [side["duration_s"] for piece in pieces for side in piece["sides"] if side["duration_s"] is not None]
        if not taken:
            return
        self._span("sear", "per_side", statistics.median(taken))
        sides, planned = max(len(piece["sides"]) for piece in pieces), self.plan["sear"].get("sides", 2)
        if sides != planned and self.differs("sear.sides", f"[sear] sides: planned {planned}, done {sides}"):
            self.plan["sear"]["sides"] = sides

    def _piece(self, row: Row, planned: dict[str, Any], first_on_s: float) -> dict[str, Any]:
        place = f"[piece {row['letter']}]"
        own = {key: row[key] for key in ("letter", "name", "probe") if row[key] is not None}
        table = planned or own
        pull_c = row["pull_c"] if row["pulled_c"] is None else row["pulled_c"]
        if pull_c is not None:
            self._put(place, table, "pull", pull_c, celsius_text, SAME_C, quantities.temperature_c)
            rest_c = max(pull_c, row["rest_c"] or pull_c)
            final = table.setdefault("final", celsius_text(rest_c))
            if quantities.temperature_c(final) < pull_c - SAME_C and self.differs(
                f"{_id(place)}.pull", f"{place} final: planned {final}, done {celsius_text(pull_c)}"
            ):
                table["final"] = table["pull"]
        if row["probe"] is None and row["on_to_pull_s"] is not None:
            self._put_span(place, table, "check_after", row["on_to_pull_s"])
        if row["on_s"] - first_on_s > 300.0 or "on_after" in table:
            self._put_span(place, table, "on_after", row["on_s"] - first_on_s)
        return table

    def _span(self, name: str, key: str, span_s: float) -> None:
        self._put_span(f"[{name}]", self.plan[name], key, span_s)

    def _put_span(self, place: str, table: dict[str, Any], key: str, span_s: float) -> None:
        same_s = max(SAME_S, SAME_PART * span_s)
        self._put(place, table, key, span_s, span_text, same_s, quantities.duration_s)

    def _raise(self, name: str, of: str, usual_s: float, least_s: float) -> None:
        """The longest time follows a time (`of`) that was done beyond it, and is taken with it."""
        table = self.plan[name]
        planned = table.get("longest")
        if (usual_s if planned is None else quantities.duration_s(planned)) >= least_s:
            return
        said = span_text(least_s + 60.0)
        before = "not said" if planned is None else f"planned {planned}"
        if self.differs(f"{name}.{of}", f"[{name}] longest: {before}, done {said}"):
            table["longest"] = said

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
        before = "not said" if planned is None else f"planned {planned}"
        if self.differs(f"{_id(place)}.{key}", f"{place} {key}: {before}, done {say(value)}"):
            table[key] = say(value)


def _id(place: str) -> str:
    """'slow' of '[slow]', 'piece-A' of '[piece A]'."""
    return place.strip("[]").replace(" ", "-")


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
