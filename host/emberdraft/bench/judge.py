"""From a trace to figures: one judge for each kind of scenario. None means that it never happened."""

from __future__ import annotations

import math
from collections.abc import Callable

from . import scores
from .scenarios import HOUR, MIN, Scenario
from .trace import Trace

Figures = dict[str, float | None]

# A fire is lost when the last ten minutes stay this far under the target although nothing is broken.
LOST_BELOW_C = 15.0
# The fuel is out from when the pit has left the target by this much for good.
FUEL_OUT_BELOW_C = 10.0
LATER_S = 15 * MIN


def judge(trace: Trace, scenario: Scenario) -> Figures:
    """All figures of one run: those of its kind and those that every run has."""
    return {**common(trace, scenario), **JUDGES[scenario.judge](trace, scenario)}


def common(trace: Trace, scenario: Scenario) -> Figures:
    """Blower travel from first reach, false alarms, fires lost."""
    reached = scores.first_within(trace.pit_c, trace.target_c, (0, len(trace.t_s)))
    clean_s = scenario.upset_s if scenario.fault and scenario.upset_s is not None else math.inf
    figures: Figures = {
        "false_alarms": float(scores.count_before(trace.alarms, clean_s)),
        "fire_lost": float(fire_lost(trace, scenario)),
        "iae_cs": scores.iae_cs(trace.t_s, trace.pit_c, trace.target_c),
    }
    if reached is not None and not scenario.fault:
        figures["strokes_per_h"] = scores.strokes_per_hour(trace.t_s, trace.blower, (reached, len(trace.t_s)))
    return figures


def fire_lost(trace: Trace, scenario: Scenario) -> bool:
    """Whether the run ends with a fire too small to hold what was asked, where air and fuel were there to keep it."""
    if scenario.judge in ("fuel_out", "sear", "stuck_off"):
        return False
    tail = scores.window(trace.t_s, trace.t_s[-1] - 10 * MIN)
    return all(trace.pit_c[i] < trace.target_c[i] - LOST_BELOW_C for i in range(*tail))


def light(trace: Trace, end_s: float) -> Figures:
    """Time to come up and stay, and overshoot, until end_s (the first upset)."""
    span = scores.window(trace.t_s, 0.0, end_s)
    reached = scores.first_within(trace.pit_c, trace.target_c, span)
    return {
        "light_min": _minutes(scores.settled_s(trace.t_s, trace.pit_c, trace.target_c, span)),
        "light_flat_min": _minutes(trace.flat_light_s),
        "overshoot_c": None if reached is None else scores.above_c(trace.pit_c, trace.target_c, (reached, span[1])),
    }


def _hold(trace: Trace, scenario: Scenario) -> Figures:
    everything = (0, len(trace.t_s))
    reached = scores.first_within(trace.pit_c, trace.target_c, everything)
    span = (len(trace.t_s) if reached is None else reached, len(trace.t_s))
    late = scores.window(trace.t_s, 1.5 * HOUR)
    return {
        **light(trace, math.inf),
        "hold_rms_c": scores.rms_c(trace.pit_c, trace.target_c, span),
        "hold_share": scores.share_within(trace.pit_c, trace.target_c, span),
        "charcoal_kgph": scores.burnt_kg_per_hour(trace.t_s, trace.fuel_kg, late),
    }


def _steps(trace: Trace, scenario: Scenario) -> Figures:
    up_s, down_s = (step.at_s for step in scenario.steps if step.deed == "order" and step.at_s >= 90 * MIN)
    up = scores.window(trace.t_s, up_s + 1.0, down_s)
    down = scores.window(trace.t_s, down_s + 1.0)
    settle = scores.settled_s
    return {
        "up_over_c": scores.above_c(trace.pit_c, trace.target_c, up),
        "up_settle_min": _minutes(settle(trace.t_s, trace.pit_c, trace.target_c, up)),
        "down_settle_min": _minutes(settle(trace.t_s, trace.pit_c, trace.target_c, down)),
    }


def _recover(trace: Trace, scenario: Scenario) -> Figures:
    kind = "lid" if scenario.name.startswith("lid") else scenario.name
    span = scores.window(trace.t_s, _shut_s(trace))
    return {
        f"{kind}_recovery_min": _minutes(scores.settled_s(trace.t_s, trace.pit_c, trace.target_c, span)),
        f"{kind}_rebound_c": scores.above_c(trace.pit_c, trace.target_c, span),
    }


def _pieces(trace: Trace, scenario: Scenario) -> Figures:
    span = scores.window(trace.t_s, _shut_s(trace))
    later = scores.window(trace.t_s, _shut_s(trace) + LATER_S)
    return {
        "pieces_recovery_min": _minutes(scores.settled_s(trace.t_s, trace.pit_c, trace.target_c, span)),
        "pieces_rms_c": scores.rms_c(trace.pit_c, trace.target_c, later),
    }


def _shut_s(trace: Trace) -> float:
    return max(t_s for t_s, deed in trace.deeds if deed == "lid")


def _gusts(trace: Trace, scenario: Scenario) -> Figures:
    span = scores.window(trace.t_s, scenario.upset_s or 0.0)
    return {
        "gust_rms_c": scores.rms_c(trace.pit_c, trace.target_c, span),
        "gust_peak_c": scores.above_c(trace.pit_c, trace.target_c, span),
    }


def _sear(trace: Trace, scenario: Scenario) -> Figures:
    """Against this cooker flat out; a stone that flat out never gets there leaves no figure."""
    if trace.flat_out_s is None or trace.climb_s is None:
        return {}
    span = scores.window(trace.t_s, trace.climb_s + 1.0)
    reached = scores.first_within(trace.stone_c, trace.target_c, span)
    if reached is None:
        return {"stone_ratio": None, "stone_over_c": None, "stone_rms_c": None}
    after = (reached, span[1])
    return {
        "stone_ratio": (trace.t_s[reached] - trace.climb_s) / trace.flat_out_s,
        "stone_over_c": scores.above_c(trace.stone_c, trace.target_c, after),
        "stone_rms_c": scores.rms_c(trace.stone_c, trace.target_c, after),
    }


def _fuel_out(trace: Trace, scenario: Scenario) -> Figures:
    out_s = scores.left_for_good_s(trace.t_s, trace.pit_c, trace.target_c, FUEL_OUT_BELOW_C)
    if out_s is None:
        return {}
    alarm = scores.first_alarm(trace.alarms, scenario.upset_s or 0.0)
    last_s = scores.last_above_s(trace.t_s, trace.blower, scores.window(trace.t_s, out_s))
    end = trace.t_s[-1]
    return {
        "fuel_alarm_min": None if alarm is None else max(0.0, (scenario.upset_s or 0.0) + alarm[0] - out_s) / MIN,
        "fuel_blower_min": 0.0 if last_s is None else None if last_s >= end - MIN else (last_s - out_s) / MIN,
    }


def _probe(trace: Trace, scenario: Scenario) -> Figures:
    kind = {"probe_short": "open"}.get(scenario.name, scenario.name.removeprefix("probe_"))
    start_s = scenario.upset_s or 0.0
    healed_s = start_s + 15 * MIN
    during = scores.window(trace.t_s, start_s, healed_s)
    after = scores.window(trace.t_s, healed_s)
    return {
        f"{kind}_alarm_s": _delay_s(trace, start_s, healed_s),
        f"{kind}_peak_c": scores.above_c(trace.pit_c, trace.target_c, during),
        "probe_back_min": _minutes(scores.settled_s(trace.t_s, trace.pit_c, trace.target_c, after, 5.0)),
    }


def _stuck_on(trace: Trace, scenario: Scenario) -> Figures:
    start_s = scenario.upset_s or 0.0
    healed_s = start_s + 40 * MIN
    during = scores.window(trace.t_s, start_s, healed_s)
    delay_s = _delay_s(trace, start_s, healed_s)
    return {
        "stuck_on_peak_c": scores.above_c(trace.pit_c, trace.target_c, during),
        "stuck_on_alarm_min": _minutes(delay_s),
    }


def _stuck_off(trace: Trace, scenario: Scenario) -> Figures:
    """A cooker that holds by its own draught without the blower has nothing to report: no figure."""
    start_s = scenario.upset_s or 0.0
    healed_s = start_s + 40 * MIN
    during = scores.window(trace.t_s, start_s, healed_s)
    if scores.share_within(trace.pit_c, trace.target_c, during, 2.0 * scores.BAND_C) == 1.0:
        return {}
    return {"stuck_off_alarm_min": _minutes(_delay_s(trace, start_s, healed_s))}


def _delay_s(trace: Trace, start_s: float, end_s: float) -> float | None:
    alarm = scores.first_alarm(trace.alarms, start_s)
    return alarm[0] if alarm is not None and alarm[0] < end_s - start_s else None


def _minutes(seconds: float | None) -> float | None:
    return None if seconds is None else seconds / 60.0


JUDGES: dict[str, Callable[[Trace, Scenario], Figures]] = {
    "hold": _hold,
    "steps": _steps,
    "recover": _recover,
    "pieces": _pieces,
    "sear": _sear,
    "gusts": _gusts,
    "fuel_out": _fuel_out,
    "probe": _probe,
    "stuck_on": _stuck_on,
    "stuck_off": _stuck_off,
}
