"""What the fire does behind the thermometer: an observer with the fire as a state.

    x1' = (u - x1) / T1    x2' = (x1 - x2) / T2    the fire lags the air that really went out
    y'  = k (x2 - LOW - n (y - base) - m)          pit: the fire less what holding takes
    m'  = -m / Tm          n' = m / Tn             two disturbances: one forgets, one learns

`u`, `x1`, `x2` and `m` are in duty, `y` in degC, `n` in duty per degC, `k` in degC/s per duty.
The surprise (sample less `y`) corrects the level, the fast disturbance `m` and through it the
slow `n`; while the air is flat out it all belongs to the fire, because what is not known then is
how far the fire has grown, not what the cooker needs. Luenberger, IEEE Trans. Mil. Electron. 8
(1964) 74; split and constants are this project's own, found on simulated cookers.
"""

from .limiter import LOW
from .limits import clamp, within

BASE_C = 20.0
K_START = 0.06
K_LOW, K_HIGH = 0.012, 0.6
NEED_START = 0.0052  # duty per degC above the base, as a cooker takes it before it is soaked
NEED_LOW, NEED_HIGH = 0.0, 0.0115
T1_S = 100.0
T2_S = 130.0
TM_S = 70.0
TN_S = 450.0
LEVEL_S = 30.0
FAST_S2 = 3000.0
FIRE_S2 = 3000.0
MOST = 3.0
SCALE_HIGH = 2.5
NEED_POWER = 0.6


class Observer:
    """`x2` is the burning, `x1` what it is becoming, `need` the learnt holding air per degC."""

    def __init__(self):
        self.k = K_START
        self.known = False  # whether k was learnt or handed in
        self.need = NEED_START
        self.settled = False  # whether the need was learnt in a hold, or handed in
        self.quick = 1.0  # shortens the fire's lags where the pit follows the fire at once
        self.scale = 1.0  # the one adaptive time scale: multiplies every time constant
        self.y_c = None
        self.x1 = 0.0
        self.x2 = 0.0
        self.m = 0.0

    def restore(self, gain, need, scale):
        """Take back what an earlier start had learnt; what is out of bounds is not taken."""
        self.known = within(gain, K_LOW, K_HIGH) is not None
        self.k = gain if self.known else self.k
        self.scale = within(scale, 1.0, SCALE_HIGH) or self.scale
        if within(need, NEED_LOW, NEED_HIGH) is not None:
            self.need = need
            self.settled = True

    def start(self, pit_c, air):
        """Begin at a pit temperature with a fire that `air` would keep."""
        self.y_c = pit_c
        self.x1 = air
        self.x2 = air
        self.m = 0.0

    def hold_air(self, at_c):
        """The air that holding `at_c` takes, in duty; at LOW, all shut, there is none."""
        return LOW + self.need * (at_c - BASE_C)

    def slope_cps(self):
        """The slope that the states explain, degC/s."""
        return self.k * (self.x2 - self.hold_air(self.y_c) - self.m)

    def predict(self, u, dt_s):
        """Move the states on by `dt_s` under the air `u` that really went out."""
        slope_cps = self.slope_cps()
        self.x1 += (u - self.x1) * dt_s / (T1_S * self.scale * self.quick)
        self.x2 += (self.x1 - self.x2) * dt_s / (T2_S * self.scale * self.quick)
        self.m -= self.m * dt_s / TM_S
        self.y_c += slope_cps * dt_s

    def correct(self, pit_c, flat_out, dt_s, learn):
        """Hand the surprise to those who may have caused it; `learn` weighs the slow part."""
        surprise_c = pit_c - self.y_c
        self.y_c += surprise_c * min(1.0, dt_s / LEVEL_S)
        push = surprise_c * dt_s / self.k
        if flat_out:
            self.x1 = clamp(self.x1 + push / FIRE_S2, 0.0, MOST)
            self.x2 = clamp(self.x2 + push / FIRE_S2, 0.0, MOST)
            self.m = 0.0
            return
        self.m = clamp(self.m - push / FAST_S2, -1.0, 1.0)
        self.shift(learn * self.m * dt_s / (TN_S * self.scale), self.y_c)

    def shift(self, air, at_c):
        """Add `air` (duty) to what holding `at_c` is believed to take."""
        need = self.need + air / max(at_c - BASE_C, 30.0)
        self.need = clamp(need, NEED_LOW, NEED_HIGH)

    def skip(self, pit_c):
        """Lid open, or heat coming back from the walls: follow the pit and learn nothing."""
        self.y_c = pit_c
        self.m = 0.0

    def learn_gain(self, full):
        """After a stretch flat out the fire is `full`; the rest is the cooker's k."""
        k = clamp(self.k * clamp(self.x2 / full, 0.4, 8.0), K_LOW, K_HIGH)
        self.x1 *= self.k / k
        self.x2 *= self.k / k
        if not self.settled:  # more gain is less loss for its heat, not in proportion
            self.need = clamp(self.need * (self.k / k) ** NEED_POWER, NEED_LOW, NEED_HIGH)
        self.k = k
        self.known = True

    def set_scale(self, scale):
        """Slow down (or back) every time constant, within bounds."""
        self.scale = clamp(scale, 1.0, SCALE_HIGH)
