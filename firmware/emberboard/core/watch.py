"""What the fire does against what its air should do: notices that rest on a model of the fire.

They take no air away. Told in a hold that has been reached once: before that such a verdict was
wrong on simulated cookers. After `fuel_out` the guard waits for a second sign, of the pit itself.
"""

from . import interlocks as ask

LID_WAIT_S = 900.0
STEADY_C = 3.0
STEADY_S = 600.0
USUAL_S = 1800.0
LOWERED_S = 5400.0
USUAL_UNSURE = 0.25
SLOW_MOST = 2.25
WEAK_MOST = 4.0
OF_THE_FIRE = ("fuel_out", "blower_stuck_on")  # said here: to acknowledge one is to wait anew


class Watch:
    """Times of the residual checks. `stuck_on` asks the damper to do the blower's work."""

    def __init__(self, book):
        self.book = book
        self.usual = 0.0
        self.stuck_on = False
        self._lowered_s = LOWERED_S
        self._target_c = None
        self._changes = 0
        self.rearm()

    def rearm(self):
        """Begin anew (another mode or target, acknowledged)."""
        self._steady_s = 0.0
        self._weak_s = 0.0
        self._heating_s = 0.0

    def step(self, see, dt_s, now_ms):
        """Ask about `see` (a controller)."""
        self._new(see)
        pit_c = see.pit_line.level
        blind = pit_c is None or see.lid.is_open or see.book.stops()
        if blind or see.mode != "hold" or see.lid.shut_s < LID_WAIT_S:
            self._weak_s = self._heating_s = 0.0
            return
        self._learn(see, dt_s)
        self._lowered_s = min(self._lowered_s + dt_s, LOWERED_S)
        if see.hold.held_once and self._lowered_s >= LOWERED_S:
            self._weak(see, pit_c, dt_s, now_ms)
        if self._was_steady():
            self._hot(see, dt_s, now_ms)

    def _new(self, see):
        """A fire starved for a lower target needs its time to grow again: no sign of weakness.

        A target that moves less than a hold wavers is the same one: by crumbs nothing is put off.
        """
        if see.agreed.changes != self._changes:
            self._changes = see.agreed.changes
            self.rearm()
        before_c = self._target_c
        if before_c is None:
            self._target_c = before_c = see.target_c
        if before_c is None or abs(see.target_c - before_c) < STEADY_C:
            return
        self._target_c = see.target_c
        if see.target_c < before_c:
            self._lowered_s = 0.0
        self.rearm()

    def _was_steady(self):
        return self._steady_s >= STEADY_S

    def _learn(self, see, dt_s):
        """The usual air of this hold, from when it is steady; kept while it is not."""
        if abs(see.short_c) < STEADY_C:
            self._steady_s = min(self._steady_s + dt_s, 2.0 * STEADY_S)
            if self.usual <= 0.0:
                self.usual = max(see.asked, 0.02)
            self.usual += (see.asked - self.usual) * min(1.0, dt_s / USUAL_S)
        elif not self._was_steady():
            self._steady_s = 0.0

    def _weak(self, see, pit_c, dt_s, now_ms):
        usual = self.usual if self._was_steady() else USUAL_UNSURE
        if ask.gives_no_heat(see.asked, usual, see.short_c, see.pit_line.slope):
            self._weak_s += dt_s
        else:
            self._weak_s = max(0.0, self._weak_s - 2.0 * dt_s)
        # One that was slow to answer when it was lit is given longer; overshoots say nothing here.
        slow = min(see.hold.slow.coast**3, WEAK_MOST)
        if ask.fire_is_weak(self._weak_s / slow, self._was_steady()):
            self.book.put("fuel_out", "notice", pit_c, see.target_c, now_ms)
        elif see.short_c < STEADY_C:
            self.book.over("fuel_out")

    def _hot(self, see, dt_s, now_ms):
        over_c = -see.short_c
        fire = see.hold.see.x2
        if ask.heats_by_itself(see.asked, fire, self.usual, over_c, see.pit_line.slope):
            self._heating_s += dt_s
        else:
            self._heating_s = max(0.0, self._heating_s - 0.5 * dt_s)
        # A blower that is stuck makes an overshoot itself, and so the scale grow: not for long.
        slow = min(see.hold.slow.coast * see.hold.slow.coast, SLOW_MOST)
        if ask.blower_stuck_on(self._heating_s / slow):
            self.stuck_on = True
            self.book.put("blower_stuck_on", "notice", over_c, ask.STUCK_OVER_C, now_ms)
        elif over_c < STEADY_C:
            self.book.over("blower_stuck_on")
            self.stuck_on = "blower_stuck_on" in self.book.alerts
