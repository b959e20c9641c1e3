"""Hold the pit: the PID in the middle; observer, limiter, feed-forward and schedule around it.

    ref = y + near(target - y)                the reference walks ahead of the pit
    P = kp g (b (ref - target) + target - y)  the error; g is the schedule by the cooker's gain
    I = LOW + need (target - base)            the learnt holding air, the slow disturbance
    D = -kp g td slope
    ff = -kf (fire - I) + cm m                the fire that is too much; the fast disturbance
    u = P + I + D + ff within floor..cap      below 0 the damper closes

The observer is told the u that went out, which is the anti-windup. docs/explain/control.md says
why each part is there; each has a switch of its name for the bench.
"""

from . import learning
from .learning import AFTER_LID, DAMPER_GAIN, HOT_C, draughty
from .limiter import Limiter
from .limits import GAIN_BOUNDS, clamp, within
from .observer import Observer
from .pid import Pid
from .swings import Swings
from .timescale import TimeScale
from .trust import Trust

KP = 0.08
TI_S = 1400.0
TD_S = 50.0
B = 1.0
FIRE_GAIN = 0.55
FAST_GAIN = 0.15
FAST_IN_FIRE = 0.1
GAIN_POWER = 1.0
K_USUAL = 0.06
G_UNKNOWN = 0.5
NEAR_C = 10.0
NEAR_POWER = 0.9
ABOVE = 2.5
PACE_S = 400.0
PACE_C = 12.0
FAR_C = 12.0
VERY_FAR_C = 40.0
LOOK_S = 200.0
FULL_FIRE = 0.8
FULL_S = 240.0
COLD_C = 50.0
AFTER_LID_S = 900.0
SETTLE_S = 180.0
SOAK_SHARE = 0.2
SOAK_S = 2400.0
ARRIVED_C = 3.0
QUIETEST = 0.1
QUIET_I = 0.75

SWITCHES = ("observer", "coast", "concave", "schedule", "timescale", "fast", "soak", "cap")


class Hold:
    """`step` returns the air wanted, `low`..1; `why` says in a word what it does."""

    def __init__(self, settings=None):
        settings = settings or {}
        self.off = [name for name in SWITCHES if settings.get(name) is False]
        self.pid = Pid(KP, TI_S, TD_S, B)
        self.see = Observer()
        self.restore(settings)
        self.swings = Swings()
        self.trust = Trust()
        self.slow = TimeScale(self.see, "timescale" not in self.off)
        self.limiter = Limiter("cap" not in self.off)
        self.ref_c = None
        self.flat_out = False
        self.arrived = False
        self.from_above = False  # too hot because another target was given
        self.moving = False  # the stone moves the target: an overshoot says nothing
        self.held_once = False
        self.duty = 0.0
        self.why = "off"
        self._gains, self._bump = None, 0.0  # of the last step; what new ones would have moved
        self._flat_s = 0.0
        self._settle_s = 0.0
        self._after_s = 0.0
        self._soak = 0.0

    def restore(self, settings):
        """Gains and learnt constants from the board's settings, each only inside its bounds."""
        gains = [within(settings.get(name), low, high) for name, low, high in GAIN_BOUNDS]
        self.pid.set_gains(gains[0], gains[1], gains[2], gains[3])
        self.see.restore(settings.get("gain"), settings.get("need"), settings.get("scale"))

    def start(self, target_c, pit_c):
        """Begin to hold `target_c` with the pit at `pit_c`; what was learnt stays."""
        far_c = target_c - pit_c
        self.wake(pit_c)
        self.arrived = far_c < FAR_C
        self.from_above = far_c < -HOT_C
        self.moving = False
        far = far_c >= (VERY_FAR_C if self.held_once else FAR_C)
        self.flat_out = far and "coast" not in self.off
        self._flat_s = 0.0
        self.slow.start(pit_c if pit_c < COLD_C and self.flat_out else None)
        self.limiter.start()
        self.swings.forget()
        self.pid.track(pit_c - target_c, pit_c - target_c, self.see.hold_air(target_c))

    def wake(self, pit_c):
        """Let the observer begin, when it has not: a cold cooker has next to no fire."""
        if self.see.y_c is None:
            self.see.start(pit_c, 0.1 if pit_c < COLD_C else self.see.hold_air(pit_c))

    def see_again(self, pit_c):
        """The pit is back after a fault: go on from it, and blame nothing for the gap."""
        self.wake(pit_c)
        self.see.skip(pit_c)

    def full(self, pit_c, dt_s):
        """Flat out, and the observer told so."""
        self.wake(pit_c)
        self.see.predict(self.duty, dt_s)
        self.see.correct(pit_c, True, dt_s, 1.0)
        self._flat_s += dt_s
        self.duty = 1.0
        self.why = "full_air"
        return 1.0

    def full_is_over(self, again=True):
        """The end of full air: a fire that had minutes of it tells the gain."""
        if self._flat_s > FULL_S and again:
            self.trust.watch()
        if self._flat_s > FULL_S and (again or not self.see.known):
            self.see.learn_gain(FULL_FIRE)
        self._flat_s = 0.0

    def wait(self, target_c, pit_c):
        """The lid is open or the air is stopped: nothing is learnt, and it settles afterwards.

        Not where it is far too hot: no lid did that, and the usual air would heat it further.
        """
        self.wake(pit_c)
        self.see.skip(pit_c)
        self._settle_s = SETTLE_S
        self._after_s = AFTER_LID_S
        self.swings.forget()
        self.duty = self.see.hold_air(target_c)

    def step(self, target_c, pit_c, slope_cps, dt_s, calm_cps=None):
        """One step; return the air wanted.

        `calm_cps` is a calmer slope where there is one: what is crossed only once, as the end of
        full air, noise crosses too early.
        """
        if self.flat_out:
            self._look_ahead(target_c, slope_cps if calm_cps is None else calm_cps, pit_c)
            if self.flat_out:
                return self.full(pit_c, dt_s)
        self.wake(pit_c)
        self._observe(target_c, pit_c, dt_s)
        short_c = target_c - self.see.y_c
        told = self.from_above or self.moving  # hot because of the target
        if self.arrived and not told and self._after_s <= 0.0:
            learning.draught(self.see, short_c, slope_cps, dt_s)
        self._milestones(short_c)
        if "observer" in self.off:
            self.duty = self._plain(target_c, pit_c, dt_s)
        else:
            self.duty = self._law(target_c, short_c, slope_cps, dt_s)
        self.why = self._word(short_c)
        return self.duty

    def _look_ahead(self, target_c, slope_cps, pit_c):
        """The coasting switch: leave full air when the pit would carry itself to the target."""
        see = self.see
        self.slow.answer(pit_c, self._flat_s)
        short_c = target_c - pit_c
        if short_c <= LOOK_S * see.scale * see.scale * slope_cps or short_c < 1.0:
            self.flat_out = False
            self.full_is_over()

    def _observe(self, target_c, pit_c, dt_s):
        see = self.see
        see.predict(self.duty, dt_s)
        self._after_s = max(0.0, self._after_s - dt_s)
        self._settle_s = max(0.0, self._settle_s - dt_s)
        if self._settle_s > 0.0:
            see.skip(pit_c)
            return
        see.correct(pit_c, False, dt_s, self._learning(target_c, pit_c - target_c))

    def _learning(self, target_c, over_c):
        """How fast the need is learnt: `learning.py` says what slows it."""
        weight = draughty(self.see.hold_air(target_c))
        if self.held_once and not self.arrived and over_c < 0.0:
            weight *= learning.APPROACH
        if self._after_s > 0.0:
            return AFTER_LID * weight
        trust = self.trust.value
        if not self.held_once:
            return weight * learning.before_first(trust)
        cut = self.duty <= self.limiter.floor + 1e-6
        too_hot = not self.from_above and over_c > HOT_C
        return weight * learning.later(self.see, self.duty, trust, too_hot, cut)

    def _law(self, target_c, short_c, slope_cps, dt_s):
        see, pid, limiter = self.see, self.pid, self.limiter
        self.trust.step(see.m, self.arrived, dt_s)
        see.quick = self.trust.quick
        self.swings.step(see.y_c, see.scale, dt_s)
        g = self._schedule()
        ahead_c = self._near(short_c)
        self.ref_c = see.y_c + ahead_c
        self._integrate(target_c, ahead_c, slope_cps, g, dt_s)
        m = 0.0 if "fast" in self.off else see.m
        need = see.hold_air(target_c)
        self._terms(ahead_c, short_c, slope_cps, g, dt_s)
        pid.i = need + self._bump
        fire = 0.5 * (see.x1 + see.x2)
        pid.ff = FAST_GAIN * m - FIRE_GAIN * (fire - need - FAST_IN_FIRE * m)
        if self._settle_s > 0.0 and self.arrived and short_c > -NEAR_C:
            return limiter.settle(pid.p + self._bump, need)
        limiter.set_cap(self.arrived, need + max(0.0, FAST_GAIN * m), short_c, slope_cps, g, dt_s)
        limiter.set_floor(self.held_once, need, fire, slope_cps, short_c, dt_s)
        return limiter.hold(need + self._gently(pid.p + pid.d + pid.ff + self._bump, need))

    def _terms(self, ahead_c, short_c, slope_cps, g, dt_s):
        """P and D; what new gains would move at once the integral takes, and lets go in ti."""
        pid = self.pid
        gains = (pid.kp, pid.b, pid.td_s)
        for kp, b, td_s in (self._gains or gains, gains):
            before = pid.p + pid.d
            pid.p = kp * g * (b * (ahead_c - short_c) + short_c)
            pid.d = -kp * g * td_s * slope_cps
        self._bump += before - pid.p - pid.d - self._bump * min(1.0, dt_s / pid.ti_s)
        self._gains = gains

    @staticmethod
    def _gently(change, need):
        """Below nothing the damper moves; its way is worth more air than the same duty."""
        if need >= 0.0:
            return change if change >= -need else DAMPER_GAIN * (change + need) - need
        beyond = change + need / DAMPER_GAIN  # what is left of it where the blower begins
        return DAMPER_GAIN * change if beyond <= 0.0 else draughty(need) * beyond - need

    def _plain(self, target_c, pit_c, dt_s):
        """The fall-back and the bench's yardstick: the textbook PID alone."""
        self.ref_c = target_c
        self.limiter.set_floor(self.held_once, self.pid.i, 0.0, 0.0, 0.0, dt_s)
        return self.pid.step(0.0, pit_c - target_c, dt_s, self.limiter.floor, 1.0)

    def _schedule(self):
        """A cooker that answers strongly or slowly gets smaller gains."""
        if "schedule" in self.off:
            return 1.0
        known = (K_USUAL / self.see.k) ** GAIN_POWER if self.see.known else G_UNKNOWN
        return known * self._quiet() / self.see.scale**0.5

    def _quiet(self):
        """What swings and a misfit leave of the gains."""
        return max(self.swings.calm * self.trust.value, QUIETEST)

    def _near(self, short_c):
        """The concave approach: its speed grows less than with the error; above it is urgent."""
        if short_c < 0.0:
            return ABOVE * short_c * self.see.scale
        if short_c <= NEAR_C or "concave" in self.off:
            return short_c
        return NEAR_C * (short_c / NEAR_C) ** NEAR_POWER

    def _integrate(self, target_c, ahead_c, slope_cps, g, dt_s):
        """Integral of the pace that is missing, not of the error, and the decline of the soak."""
        see, limiter = self.see, self.limiter
        if self._settle_s <= 0.0 and limiter.floor < self.duty < limiter.cap:
            missing_c = clamp(ahead_c - PACE_S * see.scale * slope_cps, -PACE_C, PACE_C)
            # A cooker that bears small gains only follows its fire at once: the integral holds it.
            g *= self._quiet() ** -QUIET_I * draughty(see.hold_air(target_c)) ** 0.5
            ti_s = self.pid.ti_s * see.scale**0.5
            see.shift(self.pid.kp * g * missing_c * dt_s / ti_s, target_c)
        if self._soak > 0.01:
            self._soak -= self._soak * dt_s / SOAK_S
            see.shift(-self._soak * max(see.hold_air(target_c), 0.0) * dt_s / SOAK_S, target_c)

    def _milestones(self, short_c):
        if abs(short_c) < ARRIVED_C:
            self.from_above = False
        if not self.arrived and abs(short_c) < ARRIVED_C:
            self.arrived = True
            self.slow.arrived()
        if self.arrived and not self.held_once and abs(short_c) < ARRIVED_C:
            self.held_once = True
            self.see.settled = True
            self._soak = 0.0 if "soak" in self.off else SOAK_SHARE
        told = self.moving or self._after_s > 0.0  # hot because of a stone, or of a lid
        if self.arrived and not told and self.duty <= self.limiter.floor + 1e-6:
            self.slow.overshot(-short_c)

    def _word(self, short_c):
        if not self.arrived:
            return "coast"
        if self.duty <= self.limiter.floor + 1e-6:
            return "floor" if self.duty > 0.0 else "no_air"
        if abs(short_c) < 2.0:
            return "steady"
        return "more_air" if short_c > 0.0 else "less_air"
