"""What happens to a cooker on the bench: each scenario is data, a list of timed deeds that the rig carries out.

A deed's name and values are those of `rig.DEEDS`. Times are seconds from lighting, temperatures degC. The hold stories
share one opening: light to 121 degC with the exhaust a person would set for it, the same on every cooker.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

HOLD_C = 121.0
HOLD_EXHAUST = 0.3
SEAR_C = 260.0
MIN = 60.0
HOUR = 3600.0


class Step(NamedTuple):
    """One deed at one time."""

    at_s: float
    deed: str
    values: tuple[Any, ...] = ()


@dataclass(frozen=True)
class Scenario:
    """One story; `judge` names the figures taken from it, `upset_s` when the upset begins (None: only lighting)."""

    name: str
    title: str
    length_s: float
    steps: tuple[Step, ...]
    judge: str
    upset_s: float | None = None
    fault: bool = False
    limit: bool = False
    scarce_fuel: bool = False


def _light(target_c: float = HOLD_C) -> tuple[Step, ...]:
    return (
        Step(0.0, "exhaust", (HOLD_EXHAUST,)),
        Step(0.0, "order", ("light", target_c)),
        Step(60 * MIN, "order", ("slow", target_c)),
    )


def _lid(at_s: float, length_s: float, *between: Step) -> tuple[Step, ...]:
    return (Step(at_s, "lid", (True,)), *between, Step(at_s + length_s, "lid", (False,)))


def _probe_fault(name: str, title: str, fault: str, offset_c: float = 0.0) -> Scenario:
    start_s, end_s = 100 * MIN, 115 * MIN
    steps = (
        *_light(),
        Step(start_s, "probe", (fault, offset_c)),
        Step(end_s, "probe", ("", 0.0)),
        Step(end_s + MIN, "acknowledge"),
    )
    return Scenario(name, title, 3 * HOUR, steps, "probe", start_s, fault=True)


def _blower_fault(name: str, title: str, stuck_at: float, length_s: float, judge: str) -> Scenario:
    start_s = 100 * MIN
    steps = (
        *_light(),
        Step(start_s, "blower", (stuck_at,)),
        Step(start_s + length_s, "blower", (None,)),
        Step(start_s + length_s + MIN, "acknowledge"),
    )
    return Scenario(name, title, 3.5 * HOUR, steps, judge, start_s, fault=True)


def _orders() -> tuple[Scenario, ...]:
    """What is asked of the controller changes; the world is quiet."""
    down = (Step(90 * MIN, "order", ("slow", 135.0)), Step(150 * MIN, "order", ("slow", 107.0)))
    climb = (Step(90 * MIN, "exhaust", (1.0,)), Step(90 * MIN, "order", ("climb", SEAR_C)))
    sear = "slow, then the stone to 260 degC and hold"
    return (
        Scenario("hold", "light and hold 121 degC for 3 h", 3 * HOUR, _light(), "hold", limit=True),
        Scenario("steps", "107 to 135 to 107 degC", 4 * HOUR, (*_light(107.0), *down), "steps", 90 * MIN, limit=True),
        Scenario("sear", sear, 3 * HOUR, (*_light(), *climb), "sear", 90 * MIN),
    )


def _hands() -> tuple[Scenario, ...]:
    """A person opens the lid, for nothing or to put something in; then the weather."""
    at_s = 100 * MIN
    parts = _lid(75 * MIN, 120.0, Step(75 * MIN + 40.0, "set_in", (6.0, 20.0)))
    piece = (0.5, 0.035, 4.0)
    pieces = _lid(at_s, 45.0, Step(at_s + 15.0, "put_on", piece), Step(at_s + 30.0, "put_on", piece))
    fuel = _lid(at_s, 90.0, Step(at_s + 45.0, "refuel", (1.0,)))
    weather = (Step(80 * MIN, "gusts", (100 * MIN,)), Step(130 * MIN, "weather", (-20.0, 300.0)))
    cold_parts, charcoal = "lid open 120 s, 6 kg of cold parts set in", "lid open 90 s, 1 kg of cold charcoal added"
    gusts = "gusts, and the ambient falls by 20 degC"
    return (
        Scenario("setup", cold_parts, 3 * HOUR, (*_light(), *parts), "recover", 75 * MIN),
        Scenario("lid60", "lid open 60 s", 2.5 * HOUR, (*_light(), *_lid(at_s, 60.0)), "recover", at_s),
        Scenario("lid90", "lid open 90 s", 2.5 * HOUR, (*_light(), *_lid(at_s, 90.0)), "recover", at_s),
        Scenario("pieces", "two cold 0.5 kg pieces put on", 3 * HOUR, (*_light(), *pieces), "pieces", at_s),
        Scenario("refuel", charcoal, 3 * HOUR, (*_light(), *fuel), "recover", at_s),
        Scenario("gusts", gusts, 3 * HOUR, (*_light(), *weather), "gusts", 80 * MIN),
    )


def _faults() -> tuple[Scenario, ...]:
    """Something breaks."""
    length_s, clean_s = 5.5 * HOUR, 75 * MIN
    empty = Scenario(
        "fuel_out", "the fuel runs out", length_s, _light(), "fuel_out", clean_s, fault=True, scarce_fuel=True
    )
    return (
        empty,
        _probe_fault("probe_open", "pit probe open for 15 min", "open"),
        _probe_fault("probe_short", "pit probe shorted for 15 min", "short"),
        _probe_fault("probe_offset", "pit probe reads 20 degC low for 15 min", "offset", -20.0),
        _probe_fault("probe_frozen", "pit probe frozen for 15 min", "frozen"),
        _blower_fault("stuck_off", "blower dead for 40 min", 0.0, 40 * MIN, "stuck_off"),
        _blower_fault("stuck_on", "blower stuck at full for 40 min", 1.0, 40 * MIN, "stuck_on"),
    )


SCENARIOS: dict[str, Scenario] = {scenario.name: scenario for scenario in (*_orders(), *_hands(), *_faults())}
