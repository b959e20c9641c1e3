"""What the probes would see: the lag of a bead in its sheath, noise, steps of the chip, injected faults.

A fault is a property of the sensor, so that a bench and the simulated board suffer the same one.
"""

from __future__ import annotations

from random import Random

from emberdraft.errors import UserError

FAULT_KINDS = ("", "open", "short", "offset", "frozen")
LAG_S = {"pit": 6.0, "stone": 8.0, "board": 300.0}  # thin sheath in air, bead in a hole, electronics box
PROBE_LAG_S = 5.0  # food probe


class Sensor:
    """One probe: `value()` is what the chip converts, None while open or short."""

    def __init__(self, lag_s: float, start_c: float) -> None:
        self.lag_s = lag_s
        self.bead_c = start_c
        self.fault = ""
        self.offset_c = 0.0
        self.frozen_c = start_c
        self.shown_c = start_c

    def value(self) -> float | None:
        """degC, or None while the circuit is open or shorted."""
        return None if self.fault in ("open", "short") else self.shown_c


class SensorBank:
    """All probes of a cooker by name: 'pit', 'stone', 'board' and 0, 1, ... for food.

    `update(truth, dt_s)` takes true temperatures by the same names; a name seen first starts at its
    truth. The same seed gives the same noise.
    """

    def __init__(self, seed: int = 0, *, resolution_c: float = 0.0, noise_c: float = 0.05) -> None:
        self.resolution_c = resolution_c
        self.noise_c = noise_c
        self.sensors: dict[str | int, Sensor] = {}
        self._chance = Random(f"sensors {seed}")

    def update(self, truth: dict[str | int, float], dt_s: float) -> None:
        """Move every bead towards its truth and convert once."""
        for name, true_c in truth.items():
            sensor = self.sensors.get(name)
            if sensor is None:
                sensor = self._fit(name, true_c)
            sensor.bead_c += (true_c - sensor.bead_c) * dt_s / (sensor.lag_s + dt_s)
            if sensor.fault == "frozen":
                sensor.shown_c = sensor.frozen_c
            else:
                sensor.shown_c = self._converted(sensor.bead_c + sensor.offset_c)

    def move_bead(self, name: str | int, bead_c: float) -> None:
        """A probe is pushed into something else: its bead is there at once."""
        if name in self.sensors:
            self.sensors[name].bead_c = bead_c

    def value(self, name: str | int) -> float | None:
        """The reading of a probe in degC; None while it is open, shorted or not fitted."""
        sensor = self.sensors.get(name)
        return None if sensor is None else sensor.value()

    def fault(self, name: str | int) -> str:
        """'open' or 'short' as the chip reports it, else ''; a lying probe looks healthy."""
        sensor = self.sensors.get(name)
        return sensor.fault if sensor is not None and sensor.fault in ("open", "short") else ""

    def break_probe(self, name: str | int, kind: str, offset_c: float = 0.0) -> None:
        """Inject a fault: 'open', 'short', 'frozen', or 'offset' by `offset_c`; '' mends it."""
        if kind not in FAULT_KINDS:
            raise UserError(f"no probe fault '{kind}'; there are {', '.join(k for k in FAULT_KINDS if k)} and ''")
        sensor = self.sensors.get(name)
        if sensor is None:
            raise UserError(f"no probe {name!r}; there are {', '.join(map(str, self.sensors))}")
        sensor.fault = kind
        sensor.offset_c = offset_c if kind == "offset" else 0.0
        sensor.frozen_c = sensor.shown_c

    def _fit(self, name: str | int, true_c: float) -> Sensor:
        lag_s = PROBE_LAG_S if isinstance(name, int) else LAG_S.get(name, PROBE_LAG_S)
        sensor = self.sensors[name] = Sensor(lag_s, true_c)
        return sensor

    def _converted(self, value_c: float) -> float:
        value_c += self.noise_c * self._chance.gauss(0.0, 1.0)
        step = self.resolution_c
        return round(value_c / step) * step if step > 0.0 else value_c
