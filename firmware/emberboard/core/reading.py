"""One sensor's samples: which may be believed, and a smoothed value with its slope.

One bad sample is forgiven by keeping the value before it; three in a row are a fault and the
value is gone: a stale value is not a value (the rule of Klipper's `src/thermocouple.c`,
MAX_INVALID_COUNT 3, without its way of reporting 0). After a fault the channel is healthy again
after 30 good samples. One that is bad now and then, in more than twenty of sixty samples, is at
fault too. The value is the middle one of the last three samples (running median,
Tukey, Exploratory Data Analysis, 1977), which no lie of one sample moves.
"""

import math

from .interlocks import BAD_SAMPLES, frozen, impossible_jump, sensor_fault
from .lasting import OfSixty
from .noise import Noise
from .words import FAULTS

GOOD_AGAIN = 30
MOVES_C = 2.5
LOW_MOST_C = 40.0


class Reading:
    """A channel: `value_c` is None while nothing may be believed, `fault` says why."""

    def __init__(self, range_c, jump_c=None):
        self.range_c = range_c
        self.jump_c = jump_c
        self.value_c = None
        self.raw_c = None  # this sample, when it is a temperature at all
        self.fault = ""
        self.bad = 0
        self.good = 0
        self._seen = False
        self._last_c = None  # the sample before
        self._base_c = None  # the last sample believed
        self._old_c = None  # the one believed before it
        self._middle_c = None  # the middle one of the last three
        self.noise = Noise()
        self._often = OfSixty()  # bad ones, in a row or not
        self.condemned = ""  # why nothing is believed until a person acknowledges
        self.low_c = 0.0  # how much it reads low since a jump, until a person acknowledges

    def accept(self, raw_c, fault, dt_s=1.0):
        """Take one sample (degC or None) and its fault name; return True while healthy."""
        why = self._check(raw_c, fault, dt_s)
        why = self.condemned or why
        self._often.step(why != "")
        if why:
            self._reject(why)
        else:
            self._take(raw_c)
        return self.fault == ""

    def _check(self, raw_c, fault, dt_s):
        self.raw_c = None
        if fault:
            return fault if fault in FAULTS else "stale"
        if raw_c is None:
            return "stale" if self._seen else "absent"
        try:
            if raw_c != raw_c:
                return "nan"
            if not self.range_c[0] <= raw_c <= self.range_c[1]:
                return "range"
        except (TypeError, ValueError):
            return "nan"
        self.noise.take(raw_c, dt_s)
        self.raw_c = raw_c + self.low_c
        if self._jumped(raw_c):
            return "jump"
        return "frozen" if self._is_frozen() else ""

    def _is_frozen(self):
        """Judged only where a jump is: pieces of food may well stay at one temperature."""
        return self.jump_c is not None and frozen(self.noise.same_s, self.noise.turns)

    def condemn(self, why):
        """Believe nothing more, whatever it says, until `pardon`."""
        self.condemned = why
        self.good = 0
        self.bad = BAD_SAMPLES
        self.fault = why
        self.value_c = None
        self._base_c = None

    def is_doubted(self):
        """Whether it is not believed, or not as it stands, until a person has looked."""
        return self.condemned != "" or self.low_c > 0.0

    def pardon(self):
        """A person has looked at the probe."""
        self.condemned = ""
        self.low_c = 0.0

    def _jumped(self, raw_c):
        """A step that stays put is a lying probe; one that goes on moving is the lid or a fire."""
        last_c, self._last_c = self._last_c, raw_c
        if self.jump_c is None or self._base_c is None or self.fault:
            return False
        if not impossible_jump(raw_c, self._base_c, self.jump_c):
            return False
        if not impossible_jump(raw_c, self._middle_c, self.jump_c):
            return False  # back from a lie of one sample, which was small enough to be believed
        return self.bad == 0 or not impossible_jump(raw_c, last_c, MOVES_C)

    def _reject(self, why):
        self.good = 0
        self.bad = min(self.bad + 1, BAD_SAMPLES)
        if sensor_fault(self.bad, self._often.n):
            if why == "jump" and not self.fault and self.bad >= BAD_SAMPLES:
                self._reads_low(self._middle_c - self._last_c)
            self.fault = why
            self.value_c = None
            self._base_c = None

    def _reads_low(self, by_c):
        """A step down that stays: it is added again. One too large to add is a broken probe."""
        self.low_c = max(0.0, min(self.low_c + by_c, LOW_MOST_C))
        if by_c > LOW_MOST_C:
            self.condemned = "jump"

    def _take(self, raw_c):
        self._seen = True
        self.bad = 0
        self._middle(raw_c)
        self.good += 1
        if self.good == GOOD_AGAIN:
            self.fault = ""
            self._often.clear()
        if not self.fault:
            self.value_c = self._middle_c + self.low_c

    def _middle(self, raw_c):
        """Move on by a sample that is believed; the first stands for the two before it."""
        if self._base_c is None:
            self._old_c = self._base_c = raw_c
        a, b = self._old_c, self._base_c
        self._middle_c = max(min(a, b), min(max(a, b), raw_c))
        self._old_c, self._base_c = b, raw_c


class Smooth:
    """Level and slope by a fading-memory line (critically damped alpha-beta filter).

    Level follows a ramp without lag; `tau_s` is how long the memory is. Reference: the fading
    memory polynomial filter of degree one (Morrison 1969; formula from memory, checked in the
    tests by its exact answer to a ramp): alpha = 1 - theta^2, beta = (1 - theta)^2,
    theta = exp(-dt/tau).
    """

    def __init__(self, tau_s):
        self.tau_s = tau_s
        self.level = None
        self.slope = 0.0  # per second
        self._dt_s = None
        self._alpha = None
        self._beta = None

    def reset(self):
        """Forget everything, as after a fault."""
        self.level = None
        self.slope = 0.0

    def update(self, value, dt_s):
        """Take a value `dt_s` after the one before; return the level."""
        if self.level is None:
            self.level = value
            return value
        if dt_s != self._dt_s:
            theta = math.exp(-dt_s / self.tau_s)
            self._dt_s = dt_s
            self._alpha = 1.0 - theta * theta
            self._beta = (1.0 - theta) * (1.0 - theta) / dt_s
        ahead = self.level + self.slope * dt_s
        miss = value - ahead
        self.level = ahead + self._alpha * miss
        self.slope += self._beta * miss
        return self.level
