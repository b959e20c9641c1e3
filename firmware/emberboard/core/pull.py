"""The pull alarm: each piece at its own temperature, sounded by the board without the host."""

from .limits import PULL_HIGH_C, PULL_LOW_C, number

SAMPLES = 3


class Pulls:
    """For each core probe: its pull temperature (0 = none), how long it has been there, rung."""

    def __init__(self, n_core):
        self.pull_c = [0.0] * n_core
        self.rung = [False] * n_core
        self._at = [0] * n_core

    def check(self, pull_c):
        """Return '' when the list `pull_c` (degC or None) may be taken, else what would be."""
        if not isinstance(pull_c, (list, tuple)) or len(pull_c) > len(self.pull_c):
            return "pull_c: a list of at most %d numbers" % len(self.pull_c)
        for value in pull_c:
            if value is None or value == 0:
                continue
            if number(value) is None or not PULL_LOW_C <= value <= PULL_HIGH_C:
                return "pull_c: %g to %g degC, or null" % (PULL_LOW_C, PULL_HIGH_C)
        return ""

    def set(self, pull_c):
        """Take checked pull temperatures; a changed one may ring anew."""
        for k in range(len(self.pull_c)):
            new = (pull_c[k] or 0.0) if k < len(pull_c) else 0.0
            if new != self.pull_c[k]:
                self.pull_c[k] = new
                self.rung[k] = False
                self._at[k] = 0

    def pulled(self, k):
        """Piece `k` is out: silent, and no longer watched."""
        self.pull_c[k] = 0.0
        self.rung[k] = False
        self._at[k] = 0

    def step(self, k, core_c):
        """Take probe `k`'s value (degC or None); return True when its alarm begins."""
        if not self.pull_c[k] or self.rung[k] or core_c is None:
            return False
        self._at[k] = self._at[k] + 1 if core_c >= self.pull_c[k] else 0
        self.rung[k] = self._at[k] >= SAMPLES
        return self.rung[k]

    def ringing(self):
        """Whether any piece waits to be pulled."""
        return True in self.rung
