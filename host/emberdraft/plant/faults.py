"""Faults to inject on a World at given times: lying probes, a blower stuck on or off, a bed that runs out."""

from __future__ import annotations

from dataclasses import dataclass

from emberdraft.errors import UserError
from emberdraft.plant.world import World

PROBE_FAULTS = {
    "probe_open": "open",
    "probe_short": "short",
    "probe_offset": "offset",
    "probe_frozen": "frozen",
}
KINDS = (*PROBE_FAULTS, "blower_stuck_on", "blower_stuck_off", "fuel_out")


@dataclass(frozen=True)
class Fault:
    """One fault: from `at_s` to `until_s` of the world's time (for good when None).

    Lost fuel stays lost. `probe` names whose probe it is ('pit', 'stone', 0, 1, ...), `offset_c` how far an
    offset probe lies.
    """

    kind: str
    at_s: float
    until_s: float | None = None
    probe: str | int = "pit"
    offset_c: float = 15.0

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise UserError(f"no fault '{self.kind}'; there are {', '.join(KINDS)}")
        if self.until_s is not None and self.until_s <= self.at_s:
            raise UserError(f"fault {self.kind}: until_s {self.until_s} must be after at_s {self.at_s}")


class FaultSchedule:
    """Strikes and mends; call `apply(world)` each second, before or after the world advances."""

    def __init__(self, faults: list[Fault]) -> None:
        self._coming = sorted(faults, key=lambda fault: fault.at_s)
        self.striking: list[Fault] = []

    def apply(self, world: World) -> list[Fault]:
        """Begin and end what is due; the faults that began now."""
        begun = [fault for fault in self._coming if fault.at_s <= world.now_s]
        for fault in begun:
            _strike(world, fault)
        self._coming = self._coming[len(begun) :]
        self.striking += begun
        self._mend(world)
        return begun

    def _mend(self, world: World) -> None:
        over = [f for f in self.striking if f.until_s is not None and f.until_s <= world.now_s]
        for fault in over:
            self.striking.remove(fault)
            if fault.kind in PROBE_FAULTS:
                world.break_probe(fault.probe, "")
            elif fault.kind != "fuel_out":
                world.stick_blower(None)


def _strike(world: World, fault: Fault) -> None:
    if fault.kind in PROBE_FAULTS:
        world.break_probe(fault.probe, PROBE_FAULTS[fault.kind], fault.offset_c)
    elif fault.kind == "fuel_out":
        world.lose_fuel()
    else:
        world.stick_blower(1.0 if fault.kind == "blower_stuck_on" else 0.0)
