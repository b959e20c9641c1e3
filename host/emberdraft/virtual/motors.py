"""What the motors say at the board's pins: the blower's speed wire, and where the damper's servo stands."""

from __future__ import annotations

from typing import Any

PWM_US = 40.0  # 25 kHz
SERVO_US = (1000.0, 2000.0)  # pulses of the damper's servo: shut, open
FULL_DRIVE = 0.999


class SpeedWire:
    """Two pulses a turn, high half of the time. With `three_wire` the electronics live on the chopped supply.

    While that supply is off nothing pulls the wire down, so that it reads high whatever the wheel does. A wheel that
    stands is taken to stand where the wire is pulled down: the worse of the two cases.
    """

    def __init__(self, world: Any, three_wire: bool) -> None:
        self._world = world
        self._three_wire = three_wire

    @property
    def rpm(self) -> float:
        """Turns a minute of the wheel."""
        return float(getattr(self._world, "tach_rpm", 0.0))

    def supply(self, now_us: int, drive: float) -> int:
        """The level of the blower's own pin at this moment."""
        return int(now_us % PWM_US < drive * PWM_US)

    def level(self, now_us: int, drive: float) -> int:
        """The level of the wire at this moment."""
        if self._three_wire and not self.supply(now_us, drive):
            return 1
        return int(self.rpm > 0.0 and now_us * 1e-6 * self.rpm / 30.0 % 1.0 < 0.5)

    def pulse_us(self, longest_us: int, drive: float) -> int:
        """How long the wire is high at the next pulse: a quarter of a turn; 0 when none comes in time."""
        if self._three_wire and drive < FULL_DRIVE:
            return round(PWM_US * (1.0 - drive)) if drive > 0.0 else 0  # the chopping itself
        pulse_us = round(15e6 / self.rpm) if self.rpm > 0.0 else 0
        return pulse_us if pulse_us <= longest_us else 0


class Servo:
    """The damper: it stands where the last pulse sent it, unless something holds it."""

    def __init__(self) -> None:
        self.at: float | None = None
        self.held = False  # jammed

    def pulse(self, us: float) -> None:
        """A pulse of this length, us."""
        shut_us, open_us = SERVO_US
        if not self.held:
            self.at = min(1.0, max(0.0, (us - shut_us) / (open_us - shut_us)))
