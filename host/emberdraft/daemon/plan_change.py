"""Changes of a plan's text, one each: all that the file says besides stays. What would be no plan is refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import tomlkit

from emberdraft import quantities
from emberdraft.daemon.cook_form import PieceForm
from emberdraft.daemon.cook_form_write import with_piece
from emberdraft.daemon.plan import Plan, parse_plan
from emberdraft.phases import PHASES, held_in

Table = Any  # of tomlkit; its own types say nothing of what is inside


def target(plan: Plan, phase: str, target_c: float) -> Plan:
    """Another target of the pit, in `phase` and every later one."""

    def change(document: Table) -> None:
        order = [*PHASES]
        for name in order[order.index(phase) :]:
            table = document.get(name)
            if held_in(name) == "pit" and table is not None and ("target" in table or name == phase):
                table["target"] = like(target_c, str(document["light"]["target"]))

    return _changed(plan, change)


def pull(plan: Plan, letter: str, pull_c: float, wished_c: float | None) -> Plan:
    """Another pull temperature; what is pulled hotter than it was wished to end ends there."""

    def change(document: Table) -> None:
        row = _row(document, letter)
        row["pull"] = like(pull_c, str(row["pull"]))
        row["final"] = like(max(pull_c, wished_c or pull_c), str(row["final"]))

    return _changed(plan, change)


def added(plan: Plan, piece: PieceForm, letter: str, probe: int | None) -> Plan:
    """One more piece."""
    return parse_plan(with_piece(plan.text, piece, letter, probe))


def dropped(plan: Plan, letter: str) -> Plan:
    """One piece less."""

    def change(document: Table) -> None:
        rows = document["piece"]
        del rows[next(i for i, row in enumerate(rows) if row["letter"] == letter)]
        if not len(rows):
            document.remove("piece")

    return _changed(plan, change)


def put_on_at(plan: Plan, letter: str, after_s: float) -> Plan:
    """When a piece goes on, after the slow phase stands."""
    return _changed(plan, lambda document: _row(document, letter).__setitem__("on_after", _span(after_s)))


def check_after(plan: Plan, letter: str, after_s: float) -> Plan:
    """When a piece without a probe is to be measured, after it went on."""
    return _changed(plan, lambda document: _row(document, letter).__setitem__("check_after", _span(after_s)))


def held_for(plan: Plan, for_s: float) -> Plan:
    """How long the slow phase is held at least."""
    return _changed(plan, lambda document: document["slow"].__setitem__("for", _span(for_s)))


def without_sear(plan: Plan) -> Plan:
    """Nothing is driven to searing heat."""

    def change(document: Table) -> None:
        for name in ("climb", "sear"):
            if name in document:
                document.remove(name)

    return _changed(plan, change)


def dinner(plan: Plan, serve: str) -> Plan:
    """Another hour of dinner."""
    return _changed(plan, lambda document: document.__setitem__("serve", serve))


def _changed(plan: Plan, change: Callable[[Table], None]) -> Plan:
    document = tomlkit.parse(plan.text)
    change(document)
    return parse_plan(tomlkit.dumps(document))


def _row(document: Table, letter: str) -> Table:
    return next(row for row in document["piece"] if row["letter"] == letter)


def like(value_c: float, text: str) -> str:
    """A temperature in the unit of `text`."""
    if text.strip().lower().endswith("f"):
        return f"{round(quantities.c_to_f(value_c), 1):g}F"
    return f"{round(value_c, 2):g}C"


def _span(seconds: float) -> str:
    return f"{round(max(seconds, 0.0)):d} s"
