"""The pit's means over three seconds, half a minute, three minutes; no order touches them."""

from .lasting import Lasting

QUICK_S = 3.0
SLOW_S = 25.0
MEAN_S = 180.0


class Levels:
    """`quick_c`, `slow_c`, `mean_c` in degC; None while the probe is not believed.

    The mean over three minutes is a fading one of the same age (90 s). `calm_c` is the last of it
    that counts: three minutes (`calm`) of a believed probe under a shut lid.
    """

    def __init__(self):
        self.quick_c = None
        self.slow_c = None
        self.mean_c = None
        self.calm_c = None
        self.calm = Lasting()

    def step(self, pit_c, is_shut, dt_s):
        """Take the pit (degC or None); return whether the mean counts now."""
        believed = pit_c is not None
        calm_s = self.calm.step(believed and is_shut, dt_s)
        if not believed or self.quick_c is None:
            self.quick_c = self.slow_c = self.mean_c = pit_c
        else:
            self.quick_c += (pit_c - self.quick_c) * min(1.0, dt_s / QUICK_S)
            self.slow_c += (pit_c - self.slow_c) * min(1.0, dt_s / SLOW_S)
            self.mean_c += (pit_c - self.mean_c) * min(1.0, 2.0 * dt_s / MEAN_S)
        if calm_s == 0.0:
            self.mean_c = self.quick_c
        if calm_s < MEAN_S:
            return False
        self.calm_c = self.mean_c
        return True

    def rise_c(self):
        """How far the half minute is above the three minutes, degC: positive while it rises."""
        return self.slow_c - self.mean_c
