"""The law with a bank of models, in the place of `hold.Hold`: the same orders and words, the person's PID inside.

    ff = the holding air of the models       P, I, D of what the pit will miss ahead, in degC at the usual gain
    u  = Pid.step(0, -missing, dt, floor, cap, ff)

`pid.Pid` itself makes the step, so a change of gains moves no air, and its terms in the readings are those it used.
"""

from emberboard.core.limits import GAIN_BOUNDS, clamp, within
from emberboard.core.pid import Pid

from . import bank
from . import foretell as ask

KP = 0.08  # of a usual cooker: the person's gain counts in shares of this one
TI_S = 7200.0
TD_S = 0.0
B = 1.0
G_START = 0.06
SETTLE_LONG_S = 180.0
BASE_C = 20.0
LAG_USUAL_S = 45.0
LAG_PROMPT_S = 15.0
COAST_MOST = 2.0
QUICK_LEAST = 0.35

C = (
    0.02,  # C_FIRE: how much a fire wanders, share of the gain per root second
    0.01,  # C_PIT: how much the pit does, degC per root second
    0.002,  # C_DIST: how much the disturbance does, share of the gain per root second
    0.25,  # C_NOISE: the samples' noise, degC
    0.5,  # C_TEMPER: how far the likelihood is believed
    10000.0,  # C_FORGET: memory of the weights, s
    90.0,  # C_ANSWER: when a cooker without a lag answers full air, s
    2.0,  # C_ANSWER_TAU: and how much later for each second of lag
    150.0,  # C_ANSWER_SD: how surely, s
    0.9,  # C_FULL: the size of a fire at the end of full air, as air
    0.2,  # C_SURE: share of the weights that ends full air
    3.0,  # C_EARLY: how far below the target a peak counts as there, degC
    4.0,  # C_REACH: the point ahead, in lags
    150.0,  # C_SHORTEST: and at least, s
    0.7,  # C_PACE: how much of what is missing shall be there by then
    1.4,  # C_CAP: most air, in holding air
    11.0,  # C_CAP_C: and as much again for each so many degC short
    600.0,  # C_GIVES: the time in which a cap that binds without effect doubles, s
    0.6,  # C_FLOOR: least air, in holding air, for a fire that is no larger than holding takes
    1.2,  # C_BIG: a fire so many times as large may have none
    0.6,  # C_FIRST: its share before the first hold, unless it is too hot
    0.8,  # C_SETTLE_LOW: after a lid, in holding air
    1.4,  # C_SETTLE_HIGH: the same
    1.4,  # C_ABOVE: what is too much ahead counts more
    0.03,  # C_DOUBT: of the disturbance when full air ends, share of the gain
    20.0,  # C_LAG: the shortest of the lags, s
    2.2,  # C_LAGS: from one to the next
    0.75,  # C_WEAK: share of the learnt gain
    1.5,  # C_STRONG: the same
    1.5,  # C_PROMPT: of a cooker whose pit follows the fire at once
    0.6,  # C_DRAUGHT: worth of its open damper, duty
    3600.0,  # C_LOSS: how slowly the pit cools by itself, s
    600.0,  # C_PROMPT_LOSS: s, to a wall that warms
    2000.0,  # C_WALL: s
)


class View:
    """What the board asks of a model of the fire: the holding air, the fire's size as air."""

    def __init__(self, law):
        self.law = law
        self.scale = 1.0
        self.m = 0.0
        self.settled = False

    @property
    def k(self):
        """degC/s per duty."""
        return self.law.s[ask.GAIN]

    @property
    def need(self):
        """Duty per degC above 20."""
        target_c = self.law.target_c or 120.0
        return (self.hold_air(target_c) - bank.SHUT) / max(target_c - BASE_C, 30.0)

    @property
    def x1(self):
        """The fire as the air that would feed it."""
        return self.law.s[ask.FIRE]

    @property
    def x2(self):
        """The same: the models have it in two stages, the readings in one."""
        return self.law.s[ask.FIRE]

    def hold_air(self, at_c):
        """The air that holds `at_c`, duty."""
        return self.law.hold_air(at_c)


class Lags:
    """How slow a cooker is for a usual one: the stone's coast, the watch's patience."""

    def __init__(self, law):
        self.law = law

    @property
    def coast(self):
        """1 and more, of a cooker that answers late."""
        return clamp((self.law.lag_s / LAG_USUAL_S) ** 0.5, 1.0, COAST_MOST)

    @property
    def quick(self):
        """1 and less, of a pit that follows its fire at once."""
        return clamp(self.law.lag_s / LAG_PROMPT_S - 1.0, QUICK_LEAST, 1.0)


class Limits:
    """Floor and cap, for the readings."""

    floor = bank.SHUT
    cap = 1.0


class OneLaw:
    """`step` returns the air wanted, SHUT..1; `why` says in a word what it does."""

    def __init__(self, settings=None, c=C):
        self.c = c
        self.m = ask.models(c)
        self.n = len(self.m) // bank.MODEL
        self.s = [0.0] * ask.HEAD
        self.x = [0.0] * (self.n * bank.ROW)
        self.w = [1.0 / self.n] * self.n
        self._costs = [0.0] * self.n
        self.s[ask.GAIN] = G_START
        self.s[ask.HIGH] = 1.0
        self.pid = Pid(KP, TI_S, TD_S, B)
        gains = [within((settings or {}).get(name), low, high) for name, low, high in GAIN_BOUNDS]
        self.pid.set_gains(gains[0], gains[1], gains[2], gains[3])
        self.see = View(self)
        self.slow = self.trust = Lags(self)
        self.limiter = Limits()
        self.target_c = None
        self.ref_c = None
        self.from_above = self.moving = False
        self.why = "off"
        self._awake = False

    @property
    def arrived(self):
        """Within 3 degC of this target once."""
        return self.s[ask.ARRIVED] > 0.5

    @property
    def held_once(self):
        """And of any."""
        return self.s[ask.HELD] > 0.5

    @property
    def flat_out(self):
        """Full air, until the question is answered."""
        return self.s[ask.FLAT] > 0.5

    @property
    def duty(self):
        """The air last wanted."""
        return self.s[ask.AIR]

    @duty.setter
    def duty(self, air):
        self.s[ask.AIR] = air

    def hold_air(self, at_c):
        """The air that holds `at_c` by all models, duty."""
        bank.weights(self.x, self.n, self.w)
        air = 0.0
        for j in range(self.n):
            k = j * bank.MODEL
            v = ask.holds(self.s, self.x, self.m, j * bank.ROW, k, at_c)
            air += self.w[j] * bank.unflow(v, self.m[k + bank.DRAUGHT])
        return min(max(air, bank.SHUT), 1.0)

    @property
    def lag_s(self):
        """The lag of the plausible models, s."""
        lag_s = 0.0
        for j in range(self.n):
            lag_s += self.w[j] * self.m[j * bank.MODEL + bank.TAU]
        return lag_s

    # ------------------------------------------------------------------ what the board calls

    def start(self, target_c, pit_c):
        """Begin to hold `target_c` with the pit at `pit_c`; what was learnt stays."""
        self.wake(pit_c)
        self.target_c = target_c
        self.moving = False
        ask.start(self.s, target_c, pit_c)

    def wake(self, pit_c):
        """Let the models begin, when they have not."""
        if not self._awake:
            self._awake = True
            ask.wake(self.s, self.c, self.x, self.m, self.n, pit_c)

    def see_again(self, pit_c):
        """The pit is back after a fault: go on from it."""
        self.wake(pit_c)
        self._follow(pit_c)

    def wait(self, target_c, pit_c):
        """The lid is open or the air is stopped: nothing is learnt, and it settles afterwards."""
        self.wake(pit_c)
        self._follow(pit_c)
        self.s[ask.SETTLE_S] = SETTLE_LONG_S
        self.s[ask.AIR] = self.hold_air(target_c)

    def _follow(self, pit_c):
        for j in range(self.n):
            self.x[j * bank.ROW + bank.T] = pit_c

    def full(self, pit_c, dt_s):
        """Flat out, and the models told so."""
        self.wake(pit_c)
        s = self.s
        was, s[ask.FLAT] = s[ask.FLAT], 1.0
        ask.observe(s, self.c, self.x, self.m, self.n, self._costs, pit_c, dt_s)
        s[ask.FLAT] = was
        s[ask.FLAT_S] += dt_s
        if s[ask.COLD_C] > -100.0 and pit_c > s[ask.COLD_C] + ask.ANSWER_C:
            ask.answered(s, self.c, self.x, self.m, self.n)
        s[ask.AIR] = 1.0
        self.why = "full_air"
        return 1.0

    def full_is_over(self, again=True):
        """The end of full air: a fire that had minutes of it tells the gain."""
        if self.s[ask.FLAT_S] > ask.FULL_S and (again or self.s[ask.KNOWN] < 0.5):
            ask.learn_gain(self.s, self.c, self.x, self.n, self.w)
        self.s[ask.FLAT_S] = 0.0

    def step(self, target_c, pit_c, slope_cps, dt_s, calm_cps=None):
        """One step; return the air wanted."""
        s, c, x, m, n = self.s, self.c, self.x, self.m, self.n
        self.target_c = target_c
        if dt_s <= 0.0:
            return 1.0 if self.flat_out else s[ask.AIR]
        if self.flat_out:
            self.full(pit_c, dt_s)
            bank.weights(x, n, self.w)
            if pit_c < target_c - 1.0 and ask.carries(s, c, x, m, n, self.w, target_c) < c[ask.C_SURE]:
                return 1.0
            self.full_is_over()
            s[ask.FLAT] = 0.0
        else:
            self.wake(pit_c)
            ask.observe(s, c, x, m, n, self._costs, pit_c, dt_s)
            bank.weights(x, n, self.w)
        short_c = target_c - pit_c
        ask.milestones(s, short_c, dt_s)
        ask.aim(s, c, x, m, n, self.w, target_c)
        ask.limit(s, c, short_c, slope_cps, dt_s)
        self._show(target_c)
        missing_c = s[ask.MISSES] / KP
        s[ask.AIR] = self.pid.step(0.0, -missing_c, dt_s, s[ask.LOW], s[ask.HIGH], s[ask.HOLD])
        self.why = self._word(short_c)
        return s[ask.AIR]

    def _show(self, target_c):
        self.ref_c = target_c
        self.limiter.floor, self.limiter.cap = self.s[ask.LOW], self.s[ask.HIGH]

    def _word(self, short_c):
        if not self.arrived:
            return "coast"
        if self.duty <= self.s[ask.LOW] + 1e-6:
            return "floor" if self.duty > 0.0 else "no_air"
        if abs(short_c) < 2.0:
            return "steady"
        return "more_air" if short_c > 0.0 else "less_air"
