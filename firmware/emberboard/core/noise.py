"""Does a probe ever say the same for minutes? Its last digits tell whether that means anything.

A coarse, quiet probe may truly stay on one step of its chip for a long time, and says so. A probe
whose noise spans several steps turns back by two or more of them all the time; when that one says
the same for two minutes it is frozen.
"""

TURN_STEPS = 2.75  # three steps, less what straightening a curve makes of them
FINEST_C = 0.02
LIE_C = 3.0  # a leap of one sample, there and back, is a lie now and then and not noise
FORGET_S = 1200.0
MOST_TURNS = 10.0


class Noise:
    """`same_s`: how long the same number; `turns`: quick turns lately that only noise can make."""

    def __init__(self):
        self.same_s = 0.0
        self.turns = 0.0
        self._last_c = None
        self._change_c = 0.0
        self._step_c = float("inf")  # the smallest change that the chip ever showed

    def take(self, raw_c, dt_s):
        """A number from the chip (degC), `dt_s` after the one before."""
        last_c, self._last_c = self._last_c, raw_c
        if last_c is None:
            return
        change_c = raw_c - last_c
        if change_c == 0.0:
            self.same_s += dt_s
            return
        size_c = abs(change_c)
        self._step_c = max(FINEST_C, min(size_c, self._step_c))
        self.turns -= self.turns * min(1.0, dt_s / FORGET_S)
        back = change_c * self._change_c < 0.0 and self.same_s == 0.0
        was_c = abs(self._change_c)
        lies = max(size_c, was_c) >= LIE_C
        if back and not lies and size_c + was_c >= TURN_STEPS * self._step_c:
            self.turns = min(self.turns + 1.0, MOST_TURNS)
        self._change_c = change_c
        self.same_s = 0.0
