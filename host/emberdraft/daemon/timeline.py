"""Phases past, now and to come, and what is to come for the person: estimates from plan, timers and forecasts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from emberdraft.daemon import at_end, sear
from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.plan import Plan
from emberdraft.daemon.prompts import names
from emberdraft.daemon.sentence import clock
from emberdraft.daemon.steps import STEPS, expected_s, step_s
from emberdraft.daemon.wanted import target_of
from emberdraft.phases import held_in

Row = dict[str, Any]
# eta_s, low_s, high_s from now, by letter.
Forecasts = Mapping[str, Mapping[str, float | None]]

MOST = 5
NO_SLOT: Row = {"low_s": None, "high_s": None}
# What begins a phase, where it is not called as the phase.
_KIND = {"climb": "start_climb"}


def phase_rows(conductor: Conductor, now_s: float, forecasts: Forecasts) -> list[Row]:
    """Every phase of the plan in order, with the moments that are known or reckoned."""
    run, plan = conductor.run, conductor.plan
    rows = [_entered(plan, phase, conductor, now_s, forecasts) for phase in run.phases]
    at_s = now_s
    if rows and rows[-1]["state"] == "now":
        at_s = max(now_s, rows[-1]["start_s"] + rows[-1]["expect_s"])
    for name in _to_come(conductor):
        expect_s = expected_s(plan, name)
        target_c = target_of(plan, run, name)
        rows.append(_row(name, at_s, None, target_c, "to_come", expect_s))
        at_s += expect_s
    return rows


def upcoming_rows(conductor: Conductor, now_s: float, forecasts: Forecasts) -> list[Row]:
    """At most five things to come, the nearest first; `deed` is false for what goes by itself."""
    rows = [*_timers(conductor), *_pieces_to_come(conductor, now_s, forecasts)]
    for phase in phase_rows(conductor, now_s, forecasts):
        if phase["state"] == "to_come" and not (held_in(phase["name"]) != "pit" and at_end.open_ended(conductor.stage)):
            rows += _phase_to_come(conductor, phase, now_s)
    coming = ({"deed": True} | NO_SLOT | row for row in rows if row["at_s"] > now_s)
    return sorted(coming, key=lambda row: row["at_s"])[:MOST]


def _phase_to_come(conductor: Conductor, phase: Row, now_s: float) -> list[Row]:
    """What its begin asks of a person: the slow phase begins with setting in, and asks for pieces once settled."""
    plan, name, at_s = conductor.plan, phase["name"], phase["start_s"]
    coming = STEPS[name].coming
    row = {"at_s": at_s, "kind": _KIND.get(name, name), "text": coming(plan) if coming else ""}
    if name != "slow":
        return [row | {"deed": False} if name == "soak" else row]
    set_in_s = at_s - step_s(plan, "set_up")
    first = [row | {"deed": False}] if plan.set_up is None else _setting_in(conductor, set_in_s, now_s)
    soonest_s = min((piece.on_after_s for piece in plan.pieces), default=None)
    if soonest_s is None:
        return first
    on = names([piece for piece in plan.pieces if piece.on_after_s == soonest_s])
    return [*first, _deed(at_s + step_s(plan, "settle") + soonest_s, f"Put on {on}")]


def _setting_in(conductor: Conductor, at_s: float, now_s: float) -> list[Row]:
    """A longer soak than was reckoned does not take it off the list; once it is asked for it is not to come."""
    set_up = conductor.plan.set_up
    if set_up is None or conductor.step == "set_up":
        return []
    return [_deed(max(at_s, now_s + 1.0), f"Set in the {', the '.join(set_up.parts)}")]


def _deed(at_s: float, text: str) -> Row:
    return {"at_s": at_s, "kind": "deed", "text": text}


def moment_words(forecast: Mapping[str, float | None] | None, now_s: float) -> str:
    """'18:23', 'now', or 'cannot say yet'."""
    if forecast is None or forecast["eta_s"] is None:
        return "cannot say yet"
    return clock(now_s + forecast["eta_s"]) if forecast["eta_s"] > 0.0 else "now"


def slot_of(forecast: Mapping[str, float | None] | None, now_s: float) -> Row:
    """`low_s` and `high_s`, 8 times in 10 between, unix s; None where there is nothing between."""
    if forecast is None or not forecast["eta_s"] or forecast["eta_s"] <= 0.0:
        return NO_SLOT
    return {key: now_s + (forecast[key] or 0.0) for key in NO_SLOT}


def slot_rows(conductor: Conductor, now_s: float, forecasts: Forecasts) -> list[Row]:
    """Where each piece that is in is heading on the time axis: middle, earliest and latest moment, temperature."""
    rows = []
    for piece in conductor.plan.pieces:
        forecast = forecasts.get(piece.letter)
        if forecast is None or piece.probe is None or not forecast["eta_s"]:
            continue
        moments = {f"{name}_s": now_s + (forecast[f"{key}_s"] or 0.0) for name, key in _MOMENTS}
        rows.append({"key": f"core{piece.probe + 1}", "value_c": float(piece.pull_c), "text": "out", **moments})
    return rows


_MOMENTS = (("at", "eta"), ("low", "low"), ("high", "high"))


def _to_come(conductor: Conductor) -> list[str]:
    entered = [phase.name for phase in conductor.run.phases]
    if not entered:
        return conductor.plan.phases
    order = conductor.plan.phases
    return order[max((order.index(name) for name in entered if name in order), default=len(order)) + 1 :]


def _entered(plan: Plan, phase: Any, conductor: Conductor, now_s: float, forecasts: Forecasts) -> Row:
    if phase.end_s is not None:
        return _row(phase.name, phase.start_s, phase.end_s, phase.target_c, "past", phase.end_s - phase.start_s)
    expect_s = expected_s(plan, phase.name)
    if conductor.step == "ask_end":
        expect_s = at_end.ends_s(conductor.stage, conductor.stage.view) - phase.start_s
    elif phase.name == "slow":
        etas_s = [f["eta_s"] for f in forecasts.values() if f["eta_s"] is not None]
        if etas_s:
            expect_s = now_s + max(etas_s) - phase.start_s
    return _row(phase.name, phase.start_s, None, phase.target_c, "now", max(expect_s, now_s - phase.start_s + 60.0))


def _row(name: str, start_s: float, end_s: float | None, target_c: float | None, state: str, expect_s: float) -> Row:
    return {
        "name": name,
        "start_s": start_s,
        "end_s": end_s,
        "target_c": target_c,
        "state": state,
        "expect_s": expect_s,
    }


def _timers(conductor: Conductor) -> list[Row]:
    run, plan = conductor.run, conductor.plan
    if conductor.step == "sear" and run.sear.state == "timing" and run.sear.due_s is not None and plan.sear is not None:
        letters = sear.groups(plan)[run.sear.group]
        named = names([piece for piece in plan.pieces if piece.letter in letters])
        last = run.sear.side + 1 >= plan.sear.sides
        return [_deed(run.sear.due_s, f"Take {named} off the stone" if last else f"Flip {named}")]
    return []


def _pieces_to_come(conductor: Conductor, now_s: float, forecasts: Forecasts) -> list[Row]:
    rows = []
    for piece in conductor.run.pieces:
        plan = conductor.stage.plan_pieces[piece.letter]
        if piece.state == "waiting" and conductor.step in ("settle", "slow"):
            settle_s = step_s(conductor.plan, "settle") if conductor.step == "settle" else 0.0
            at_s = max(conductor.run.since_s + settle_s + plan.on_after_s, now_s + 1.0)
            rows.append(_deed(at_s, f"Put on {names([plan])}"))
        elif piece.state == "in" and piece.letter in forecasts:
            eta_s = forecasts[piece.letter]["eta_s"]
            if eta_s is not None:
                slot = slot_of(forecasts[piece.letter], now_s)
                rows.append(_deed(now_s + eta_s, f"Pull {names([plan])}") | slot)
        elif piece.state == "in" and plan.check_after_s is not None and piece.on_s is not None:
            rows.append(_deed(piece.on_s + plan.check_after_s, f"Check {names([plan])}"))
    return rows
