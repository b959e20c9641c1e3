"""What the fire does against what its air should do: notices first, a trip on a second sign.

Runs inside the guard, in hold and drive. Before the first hold it never stops the air: a verdict
from residuals that early put fires out on simulated cookers.
"""

from . import interlocks as ask

ARM_S = 600.0
LID_WAIT_S = 900.0
STEADY_C = 3.0
STEADY_S = 600.0
USUAL_S = 1800.0
LOWERED_S = 5400.0
USUAL_UNSURE = 0.25
KNOWN_S = 2400.0
SLOW_MOST = 2.25
WEAK_MOST = 4.0


class Watch:
    """Times of the residual checks. `stuck_on` asks the damper to do the blower's work."""

    def __init__(self, book):
        self.book = book
        self.unanswered_s = 0.0
        self.usual = 0.0
        self.usual_air = 0.0  # the same with the damper's way below nothing
        self._known_s = 0.0  # for how long that was seen at this target
        self.stuck_on = False
        self._mark_c = None
        self._steady_s = 0.0
        self._weak_s = 0.0
        self._notice_s = None
        self._notice_c = 0.0
        self._target_c = None
        self._lowered_s = LOWERED_S
        self._heating_s = 0.0
        self._shut_s = 0.0

    def rearm(self):
        """Wait for an answer anew (start, another target, lid shut, acknowledged)."""
        self.unanswered_s = 0.0
        self._mark_c = None
        self._steady_s = 0.0
        self._weak_s = 0.0
        self._notice_s = None
        self._heating_s = 0.0
        self._shut_s = 0.0
        self._known_s = 0.0

    def step(self, see, dt_s, now_ms):
        """Ask about `see` (a controller); return True when the fire must be put out."""
        pit_c = see.pit_line.level
        if pit_c is None or see.lid.is_open or see.guard.paused:
            self._weak_s = self._heating_s = self.unanswered_s = 0.0
            return False
        self._answer(see, pit_c, dt_s, now_ms)
        if see.mode != "hold" or see.lid.shut_s < LID_WAIT_S:
            self._weak_s = self._heating_s = 0.0
            return False
        self._learn(see, dt_s)
        self._target(see.target_c, dt_s)
        if see.hold.held_once and self._lowered_s >= LOWERED_S:
            self._weak(see, pit_c, dt_s, now_ms)
        return self._was_steady() and self._hot(see, dt_s, now_ms)

    def _target(self, target_c, dt_s):
        """A fire starved for a lower target needs its time to grow again: no sign of weakness."""
        if self._target_c is not None and target_c < self._target_c:
            self._lowered_s = 0.0
        self._target_c = target_c
        self._lowered_s = min(self._lowered_s + dt_s, LOWERED_S)

    def _was_steady(self):
        return self._steady_s >= STEADY_S

    def _learn(self, see, dt_s):
        """The usual air of this hold, from when it is steady; kept while it is not."""
        if abs(see.short_c) < STEADY_C:
            self._steady_s = min(self._steady_s + dt_s, 2.0 * STEADY_S)
            if self.usual <= 0.0:
                self.usual = max(see.asked, 0.02)
            share = min(1.0, dt_s / USUAL_S)
            self.usual += (see.asked - self.usual) * share
            if self._known_s <= 0.0:
                self.usual_air = see.hold.duty
            self.usual_air += (see.hold.duty - self.usual_air) * share
            self._known_s += dt_s
        elif not self._was_steady():
            self._steady_s = 0.0

    def _answer(self, see, pit_c, dt_s, now_ms):
        """Full air must make the pit rise: each two degrees won begin the wait anew."""
        early = see.lid.shut_s < ARM_S or see.run_s < ARM_S
        if early or not ask.asks_for_heat(see.asked, see.short_c):
            self.unanswered_s = 0.0
            self._mark_c = None
        elif self._mark_c is None or pit_c >= self._mark_c + ask.ANSWER_RISE_C:
            self._mark_c = pit_c
            self.unanswered_s = 0.0
        else:
            self.unanswered_s += dt_s
        if not ask.not_answering(self.unanswered_s):
            return
        # A pit that stands high at full air is a cooker at its limit; a cold one has no fire.
        if pit_c < self._mark_c - ask.ANSWER_RISE_C or pit_c < 60.0:
            self.book.put("not_answering", "trip", pit_c, self._mark_c, now_ms)
            self.book.over("not_answering")

    def _weak(self, see, pit_c, dt_s, now_ms):
        slope = see.pit_line.slope
        usual = self.usual if self._was_steady() else USUAL_UNSURE
        if ask.gives_no_heat(see.asked, usual, see.short_c, slope):
            self._weak_s += dt_s
        else:
            self._weak_s = max(0.0, self._weak_s - 2.0 * dt_s)
        # One that was slow to answer when it was lit is given longer; overshoots say nothing here.
        slow = min(see.hold.slow.coast**3, WEAK_MOST)
        if ask.fire_is_weak(self._weak_s / slow, self._was_steady()):
            if self._notice_s is None:
                self._notice_s = 0.0
                self._notice_c = pit_c
            self.book.put("fuel_out", "notice", pit_c, see.target_c, now_ms)
        elif see.short_c < STEADY_C:
            self._notice_s = None
            self.book.over("fuel_out")
        if self._notice_s is None:
            return
        self._notice_s += dt_s
        fallen_c = self._notice_c - pit_c
        if self._weak_s > 0.0 and ask.fire_is_lost(self._notice_s, slow, fallen_c):
            self.book.put("not_answering", "trip", pit_c, self._notice_c, now_ms)
            self.book.over("not_answering")

    def _hot(self, see, dt_s, now_ms):
        slope, over_c = see.pit_line.slope, -see.short_c
        air, fire = see.hold.duty, see.hold.see.x2
        known = self._known_s >= KNOWN_S
        shut = known and ask.heats_though_shut(air, fire, self.usual_air, over_c, slope)
        if shut or ask.heats_by_itself(see.asked, fire, self.usual, over_c, slope):
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
        self._shut_s = self._shut_s + dt_s if see.asked <= 0.0 else 0.0
        if not ask.runaway(over_c, self._shut_s, slope):
            return False
        self.book.put("runaway", "trip", over_c, ask.RUNAWAY_OVER_C, now_ms)
        self.book.over("runaway")
        return True
