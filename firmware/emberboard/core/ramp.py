"""The reference that the pit is led along: never more than a set rate away from where it was."""


class Ramp:
    """`ref_c` walks from where the pit is to the target at most `up_cps` or `down_cps` fast."""

    def __init__(self, up_cps, down_cps):
        self.up_cps = up_cps
        self.down_cps = down_cps
        self.ref_c = None

    def start(self, at_c):
        """Begin anew at `at_c`."""
        self.ref_c = at_c

    def step(self, target_c, dt_s):
        """Move towards `target_c` (degC) for `dt_s`; return the reference."""
        if self.ref_c is None:
            self.ref_c = target_c
        elif target_c > self.ref_c:
            self.ref_c = min(target_c, self.ref_c + self.up_cps * dt_s)
        else:
            self.ref_c = max(target_c, self.ref_c - self.down_cps * dt_s)
        return self.ref_c
