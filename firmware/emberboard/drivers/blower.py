"""The blower: one PWM output. It starts at 0 and anything that is not a number means 0.

Beside it runs one short pulse for each control step that asks for air. Hardware may hold a second
switch in the blower's supply closed for as long as these pulses come (hardware/wiring.md).
"""

PERIOD_HZ = 25000  # above hearing; what four-wire fans expect
FULL = 65535


class Blower:
    """`pwm` has `freq(hz)` and `duty_u16(0..65535)`; `pulse` is an output pin, or None."""

    def __init__(self, pwm, pulse=None):
        self._pwm = pwm
        self._pulse = pulse
        self.drive = 0.0
        pwm.freq(PERIOD_HZ)
        self.off()

    def set(self, drive):
        """Drive in 0..1, clamped."""
        self.drive = min(1.0, drive) if drive > 0.0 else 0.0
        self._pwm.duty_u16(int(self.drive * FULL + 0.5))
        if self._pulse is not None and self.drive > 0.0:
            self._pulse.value(1)
            self._pulse.value(0)

    def full(self):
        """All there is for a moment, where there is air at all; `resume` ends it."""
        if self.drive > 0.0:
            self._pwm.duty_u16(FULL)

    def resume(self):
        """Back to the drive that was set, or to none if it was cut in between."""
        self._pwm.duty_u16(int(self.drive * FULL + 0.5))

    def off(self):
        """No air from the blower, now."""
        self.drive = 0.0
        self._pwm.duty_u16(0)
