"""The damper on the intake: a hobby servo that follows pulses of about 1 to 2 ms, fifty a second.

Until the first order there are no pulses at all, so that a restart never moves it.
"""

PERIOD_HZ = 50


class Damper:
    """`pwm` has `freq(hz)` and `duty_ns(ns)`; `shut_us` and `open_us` are pulse lengths."""

    def __init__(self, pwm, shut_us=1000, open_us=2000):
        self._pwm = pwm
        self._shut_us = shut_us
        self._span_us = open_us - shut_us
        self.opening = None
        pwm.freq(PERIOD_HZ)
        pwm.duty_ns(0)

    def set(self, opening):
        """Opening in 0..1, clamped; None leaves the damper where it is."""
        if opening is None or opening != opening:
            return
        self.opening = min(1.0, max(0.0, opening))
        self._pwm.duty_ns(int(1000 * (self._shut_us + self._span_us * self.opening)))
