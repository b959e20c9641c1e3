"""How little and how much air a hold may have: a floor for the fire's life, a cap for its size."""

from .limits import clamp

LOW = -0.12
CAP_TIMES = 1.55
CAP_PLUS = 0.06
CAP_PER_C = 0.015
GIVES_WAY_S = 600.0
BINDS_C = 2.0
BINDS_CPS = 0.003
FLOOR_FIRST = 0.05
FLOOR_SHARE = 0.5
RISING_CPS = 0.002
BURNS_S = 60.0
LOOKS_OUT_S = 600.0
TOO_HOT_C = 3.0
FALLING_CPS = -0.003
DRAFT = -0.08
BIG_FIRE = 1.3
SETTLE_CAP = 1.8
SETTLE_LEAST = 0.05
SETTLE_FLOOR = 0.8


class Limiter:
    """`floor` and `cap` in duty; below 0 (to LOW) the damper closes with the blower off."""

    def __init__(self, capped=True):
        self.capped = capped
        self.floor = FLOOR_FIRST
        self.cap = 1.0
        self._held = 0.0
        self._binds_s = 0.0
        self._burns = 1.0

    def start(self):
        """Another target: the cap holds anew."""
        self._binds_s = 0.0

    def set_cap(self, arrived, need, short_c, slope_cps, g, dt_s):
        """Relative to the learnt holding air, looser with the error, giving way without effect."""
        if not (arrived and self.capped):
            self.cap = 1.0
            return
        cap = CAP_TIMES * max(need, 0.02) + CAP_PLUS + CAP_PER_C * g * max(short_c, 0.0)
        wide = 1.0 + self._binds_s / GIVES_WAY_S
        if self._held >= self.cap - 1e-6 and short_c > BINDS_C and slope_cps < BINDS_CPS:
            self._binds_s += dt_s
        else:
            self._binds_s = max(0.0, self._binds_s - 2.0 * dt_s)
        self.cap = min(1.0, cap * wide)

    def set_floor(self, held_once, need, fire, slope_cps, short_c, dt_s):
        """A damper shut on a fire that does not rise puts it out; before the first hold sooner."""
        hot = short_c < -TOO_HOT_C
        rises = slope_cps > (FALLING_CPS if hot else RISING_CPS)
        self._burning(rises or fire - LOW > BIG_FIRE * (need - LOW), hot, dt_s)
        if not held_once:
            self.floor = FLOOR_FIRST
            return
        keep = FLOOR_SHARE * need if need > 0.0 else LOW + FLOOR_SHARE * (need - LOW)
        if hot:
            keep = min(keep, DRAFT)
        self.floor = min(1.0, keep + (LOW - keep) * self._burns)

    def _burning(self, burns, hot, dt_s):
        """Much too hot, a fire that burns on with little air gets more of it only slowly."""
        wait_s = BURNS_S if burns else LOOKS_OUT_S
        share = min(1.0, dt_s / wait_s) if hot else 1.0
        self._burns += ((1.0 if burns else 0.0) - self._burns) * share

    def settle(self, pull, need):
        """After a lid: close to the holding air, whatever the pit does; `pull`: for the error.

        In shares of the air above all shut: a cooker that its draught holds is given nothing of
        its blower because of a lid, and may have less than it holds with.
        """
        held = need - LOW
        self.cap = min(1.0, max(SETTLE_CAP * need, min(SETTLE_LEAST, SETTLE_CAP * held + LOW)))
        self.floor = min(1.0, SETTLE_FLOOR * held + LOW)
        return self.hold(need + pull)

    def hold(self, air):
        """Return `air` within the limits."""
        self._held = clamp(air, self.floor, max(self.cap, self.floor))
        return self._held
