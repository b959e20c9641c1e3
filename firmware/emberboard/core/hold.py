"""Hold the pit: full air until the heat that is already on its way suffices, then the PID."""

from .limits import clamp
from .pid import Pid
from .ramp import Ramp

KP = 0.012
TI_S = 1500.0
TD_S = 240.0
B = 0.6
COAST_S = 420.0
FIRST_AIR = 0.15
FAR_C = 15.0
FLOOR_FIRST = 0.06
FLOOR = 0.02
UP_CPS = 0.08
DOWN_CPS = 0.05


class Hold:
    """`step` returns the duty wanted; `why` says in one word what it does."""

    def __init__(self, kp=KP, ti_s=TI_S, td_s=TD_S, b=B):
        self.pid = Pid(kp, ti_s, td_s, b, tt_s=300.0)
        self.ramp = Ramp(UP_CPS, DOWN_CPS)
        self.flat_out = False
        self.arrived = False
        self.floor = FLOOR_FIRST
        self.duty = 0.0
        self.why = "off"

    def start(self, target_c, pit_c):
        """Begin to hold `target_c` with the pit at `pit_c`."""
        self.ramp.start(pit_c)
        self.flat_out = target_c - pit_c > FAR_C
        self.arrived = not self.flat_out
        self.pid.track(pit_c - target_c, pit_c - target_c, FIRST_AIR)

    def step(self, target_c, pit_c, slope_cps, dt_s):
        """One step; return the duty 0..1."""
        self._look_ahead(target_c, pit_c, slope_cps)
        ref_c = self.ramp.step(target_c, dt_s)
        if self.flat_out:
            self.why = "full_air"
            self.duty = 1.0
            self.pid.track(ref_c - target_c, pit_c - target_c, FIRST_AIR)
            return 1.0
        self._arrive(target_c, pit_c)
        # In deviations from the target P is the error that a person sees, and I the holding air.
        off_c = ref_c - target_c
        self.duty = self.pid.step(off_c, pit_c - target_c, dt_s, self.floor, 1.0)
        self.why = self._word(target_c - pit_c)
        return self.duty

    def wait(self, target_c, pit_c):
        """Nothing is learnt while the lid is open: the integral stays as it was."""
        off_c = (self.ramp.ref_c or target_c) - target_c
        y_c = pit_c - target_c
        i = clamp(self.pid.i, 0.0, 1.0)
        self.pid.track(off_c, y_c, i + self.pid.kp * (self.pid.b * off_c - y_c))

    def _look_ahead(self, target_c, pit_c, slope_cps):
        """The coasting switch: leave full air when the pit would carry itself to the target."""
        if self.flat_out and pit_c + COAST_S * slope_cps >= target_c:
            self.flat_out = False
            self.ramp.start(target_c)

    def _arrive(self, target_c, pit_c):
        if not self.arrived and pit_c > target_c - 3.0:
            self.arrived = True
            self.floor = FLOOR

    def _word(self, short_c):
        if not self.arrived:
            return "coast"
        if self.duty <= self.floor:
            return "floor"
        if abs(short_c) < 2.0:
            return "steady"
        return "more_air" if short_c > 0.0 else "less_air"
