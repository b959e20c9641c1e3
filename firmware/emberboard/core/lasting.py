"""How long something has been true without a break, and how many of the last samples were so.

The only two ways in which the safety code remembers: nothing but what is measured, a real change
of mode and an acknowledgement begins either anew.
"""

LONG_S = 86400.0
LONGEST_DT_S = 10.0
SAMPLES = 60


class Lasting:
    """`s`: for how long it has been true, in s."""

    def __init__(self, s=0.0):
        self.s = s

    def step(self, true, dt_s):
        """True for `dt_s` more, or not, or (None) nobody can say; return how long now."""
        if true is not None:
            self.s = min(self.s + dt_s, LONG_S) if true else 0.0
        return self.s


class OfSixty:
    """`n`: in how many of the last sixty samples it was true."""

    def __init__(self):
        self._seen = bytearray(SAMPLES)
        self.clear()

    def clear(self):
        """As if it had never been true."""
        for k in range(SAMPLES):
            self._seen[k] = 0
        self.n = self._at = 0

    def step(self, true):
        """One more sample; return `n`."""
        new = 1 if true else 0
        self.n += new - self._seen[self._at]
        self._seen[self._at] = new
        self._at = (self._at + 1) % SAMPLES
        return self.n


class Elapsed:
    """Seconds from step to step, from a clock that is asked by nobody else."""

    def __init__(self):
        self._before_ms = None

    def step(self, now_ms):
        """Seconds since the step before, ten at most; 0 or less when the clock did not go on."""
        before_ms, self._before_ms = self._before_ms, now_ms
        return 1.0 if before_ms is None else min((now_ms - before_ms) / 1000.0, LONGEST_DT_S)
