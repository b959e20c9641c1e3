"""The two-degree-of-freedom PID that a person tunes.

    P = kp (b r - y)            D: filtered derivative on the measurement, Tf = td / n
    v = P + I + D + ff          u = v held to low..high
    I += kp h / ti (r - y) + h / tt (u - v)     (back-calculation)

Astrom and Murray, Feedback Systems, chapter 11 (pseudo-code from memory; the trace in
tests/published is computed from it independently). Units are the caller's: in this firmware y and
r are degC, u is duty 0..1, times are seconds.
"""


class Pid:
    """Terms `p`, `i`, `d`, `ff` of the last step stay visible; `v` is their sum before limits."""

    def __init__(self, kp, ti_s, td_s=0.0, b=1.0, n=5.0, tt_s=None):
        self.kp = kp
        self.ti_s = ti_s
        self.td_s = td_s
        self.b = b
        self.n = n
        self.tt_s = tt_s
        self.p = 0.0
        self.i = 0.0
        self.d = 0.0
        self.ff = 0.0
        self.v = 0.0
        self._y_old = None
        self._r_old = 0.0

    def step(self, ref, y, dt_s, low=0.0, high=1.0, ff=0.0):
        """One step of `dt_s` seconds; return the output within `low`..`high`."""
        self.p = self.kp * (self.b * ref - y)
        self.d = self._derivative(y, dt_s)
        self.ff = ff
        self.v = self.p + self.i + self.d + ff
        u = min(max(self.v, low), high)
        self.settle(ref, y, dt_s, u)
        return u

    def settle(self, ref, y, dt_s, u):
        """Integrate, told the output `u` that really went out."""
        tt_s = self.tt_s or self.ti_s
        self.i += self.kp * dt_s / self.ti_s * (ref - y) + dt_s / tt_s * (u - self.v)
        self._y_old = y
        self._r_old = ref

    def track(self, ref, y, u):
        """Make the next step continue from output `u` (change of mode): the integral takes it."""
        self.p = self.kp * (self.b * ref - y)
        self.d = 0.0
        self.i = u - self.p - self.ff
        self._y_old = y
        self._r_old = ref

    def set_gains(self, kp=None, ti_s=None, td_s=None, b=None):
        """Change gains without a bump: the integral takes up what P and D would have jumped."""
        before = self.p + self.d
        scale = self._d_gain()
        self.kp = self.kp if kp is None else kp
        self.ti_s = self.ti_s if ti_s is None else ti_s
        self.td_s = self.td_s if td_s is None else td_s
        self.b = self.b if b is None else b
        if self._y_old is None:
            return
        self.p = self.kp * (self.b * self._r_old - self._y_old)
        self.d = self.d * self._d_gain() / scale if scale > 0.0 else 0.0
        self.i += before - self.p - self.d

    def new_ref(self, ref):
        """Move the reference without a bump: the integral takes up the jump of P."""
        self.i += self.kp * self.b * (self._r_old - ref)
        self._r_old = ref

    def _d_gain(self):
        return self.kp * self.td_s

    def _derivative(self, y, dt_s):
        if self._y_old is None or dt_s <= 0.0:
            return self.d
        tf_s = self.td_s / self.n
        keep = tf_s / (tf_s + dt_s)
        return keep * self.d - self.kp * self.td_s / (tf_s + dt_s) * (y - self._y_old)
