"""The blower: one PWM output. It starts at 0 and anything that is not a number means 0."""

PERIOD_HZ = 25000  # above hearing; what four-wire fans expect
FULL = 65535


class Blower:
    """`pwm` is anything with `freq(hz)` and `duty_u16(0..65535)`."""

    def __init__(self, pwm):
        self._pwm = pwm
        self.drive = 0.0
        pwm.freq(PERIOD_HZ)
        self.off()

    def set(self, drive):
        """Drive in 0..1, clamped."""
        self.drive = min(1.0, drive) if drive > 0.0 else 0.0
        self._pwm.duty_u16(int(self.drive * FULL + 0.5))

    def off(self):
        """No air from the blower, now."""
        self.drive = 0.0
        self._pwm.duty_u16(0)
