"""The record of one bench run, and the loop that makes it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Protocol

from .rig import Rig
from .sensors import Sensors

PERIOD_S = 1.0
STONE_PHASES = ("climb", "sear")
# A run's own clock starts anywhere: controllers must only use differences of time.
CLOCK_START_S = 1000.0


class ControllerUnderTest(Protocol):
    """The adapter that every controller on a bench has."""

    def update(self, t_s: float, meas: dict[str, Any], setpoint_c: float, phase: str) -> dict[str, Any]:
        """One control step: readings in, blower and intake (0..1), trips and notices out."""


@dataclass
class Trace:
    """Columns with one row a second; temperatures true, not measured. `alarms` are onsets of trips and notices."""

    t_s: list[float] = field(default_factory=list)
    pit_c: list[float] = field(default_factory=list)
    target_c: list[float] = field(default_factory=list)
    stone_c: list[float] = field(default_factory=list)
    phase: list[str] = field(default_factory=list)
    blower: list[float] = field(default_factory=list)
    intake: list[float] = field(default_factory=list)
    fuel_kg: list[float] = field(default_factory=list)
    lid_open: list[bool] = field(default_factory=list)
    alarms: list[tuple[float, str]] = field(default_factory=list)
    deeds: list[tuple[float, str]] = field(default_factory=list)
    flat_out_s: float | None = None
    climb_s: float | None = None
    flat_light_s: float | None = None

    def add(self, rig: Rig, truth: dict[str, Any], blower: float, intake: float) -> None:
        """One row: the truth at the end of this second, and the air that led to it."""
        self.t_s.append(rig.t_s)
        self.pit_c.append(truth["pit_c"])
        self.stone_c.append(truth["stone_c"])
        self.fuel_kg.append(truth["fuel_kg"])
        self.target_c.append(rig.target_c)
        self.phase.append(rig.phase)
        self.blower.append(blower)
        self.intake.append(intake)
        self.lid_open.append(rig.lid_open)


def play(controller: ControllerUnderTest, rig: Rig, sensors: Sensors) -> Trace:
    """Run the scenario to its end under the controller."""
    trace = Trace()
    raised: set[str] = set()
    truth = rig.copy().advance(PERIOD_S, 0.0, 0.0)
    trace.flat_light_s = flat_out_s(rig, "pit_c")
    while rig.t_s < rig.length_s - 0.5 * PERIOD_S:
        if rig.phase == "climb" and trace.climb_s is None:
            trace.climb_s, trace.flat_out_s = rig.t_s, flat_out_s(rig, "stone_c")
        _acknowledge(controller, rig)
        meas = sensors.read(rig.t_s, PERIOD_S, truth, rig.probe_fault, rig.probe_offset_c)
        out = controller.update(CLOCK_START_S + rig.t_s, meas, rig.target_c, rig.phase)
        raised = _note_alarms(trace, rig.t_s, raised, out)
        blower, intake = float(out["blower"]), float(out["intake"])
        truth = rig.advance(PERIOD_S, blower, intake)
        trace.add(rig, truth, blower, intake)
    trace.deeds = rig.deeds
    return trace


def _note_alarms(trace: Trace, t_s: float, raised: set[str], out: dict[str, Any]) -> set[str]:
    standing = {*out.get("trips", ()), *out.get("notices", ())} - {"lid_open"}
    trace.alarms.extend((t_s, name) for name in sorted(standing - raised))
    return standing


def _acknowledge(controller: ControllerUnderTest, rig: Rig) -> None:
    if rig.acknowledge_due:
        rig.acknowledge_due = False
        getattr(controller, "acknowledge", lambda: None)()


def flat_out_s(rig: Rig, what: str, within_c: float = 3.0) -> float | None:
    """Seconds from here to the target with the intake open and the blower full; None: not in this run."""
    twin = rig.without_preview()
    start_s = twin.t_s
    while twin.t_s < twin.length_s:
        if twin.advance(PERIOD_S, 1.0, 1.0)[what] >= twin.target_c - within_c:
            return twin.t_s - start_s
    return None
