"""Is the lid open? What a person says comes first; the fall of the pit is the second line."""

from .interlocks import lid_fell_away, lid_fell_open, lid_is_back, lid_was_shut

QUICK_S = 3.0
SLOW_S = 25.0
MINUTE_S = 60.0
SHORTEST_S = 10.0
LONGEST_S = 240.0
LONG_S = 86400.0


class Lid:
    """`is_open`; `told` when a person said so; `open_s` and `shut_s` how long already."""

    def __init__(self):
        self.told = False
        self.felt = False
        self.open_s = 0.0
        self.shut_s = 1e6
        self.quick_c = None
        self.slow_c = None
        self.minute_c = None
        self.in_doubt = False  # counted as shut, though the pit has not come back
        self._lowest_c = 0.0
        self._dt_s = 0.0
        self._quick = 1.0
        self._slow = 1.0
        self._minute = 1.0
        self._from_c = 0.0

    @property
    def is_open(self):
        """Open, by word or by feel."""
        return self.told or self.felt

    @property
    def lifted(self):
        """Open by what a hand or the pit tells of."""
        return self.told or self.felt

    def tell(self, is_open):
        """A person says that the lid is open, or shut."""
        if self.is_open and not is_open:
            self.shut_s = 0.0
        self.told = is_open
        self.felt = False
        self.in_doubt = False
        if is_open:
            self.open_s = 0.0
        elif self.quick_c is not None:
            self.slow_c = self.minute_c = self.quick_c

    def forget(self):
        """After a fault: what was smoothed is worth nothing."""
        self.quick_c = None
        self.felt = False
        self.in_doubt = False

    def step(self, pit_c, dt_s, explained_c=0.0, has_air=False):
        """Take the pit (degC) `dt_s` later; return whether the lid is open.

        `has_air`: a hold that has arrived, short of its target, and its air has not been cut.
        """
        self._smooth(pit_c, dt_s)
        if self.is_open:
            self.open_s += dt_s
        elif self.shut_s < LONG_S:
            self.shut_s += dt_s
        if not self.is_open and lid_fell_open(self.quick_c, self.slow_c, explained_c):
            self.felt = True
            self.open_s = 0.0
            self._lowest_c = self.quick_c
            self._from_c = self.slow_c
        elif has_air and self._fell_away():
            self.felt = True
            self.open_s = 0.0
            self._lowest_c = self.quick_c
            self._from_c = self.minute_c
        elif self.felt:
            self._feel_shut()
        elif self.in_doubt:
            self.in_doubt = not lid_was_shut(self.quick_c, self._lowest_c, self._from_c)
        return self.is_open

    def _fell_away(self):
        calm = not self.is_open and self.shut_s >= LONGEST_S
        return calm and lid_fell_away(self.quick_c, self.minute_c)

    def _feel_shut(self):
        self._lowest_c = min(self._lowest_c, self.quick_c)
        back = self.open_s >= SHORTEST_S and lid_is_back(self.quick_c, self._lowest_c)
        if back or self.open_s >= LONGEST_S:
            self.felt = False
            self.in_doubt = not back
            self.shut_s = 0.0
            self.slow_c = self.minute_c = self.quick_c

    def _smooth(self, pit_c, dt_s):
        if self.quick_c is None:
            self.quick_c = pit_c
            self.slow_c = pit_c
            self.minute_c = pit_c
            return
        if dt_s != self._dt_s:
            self._dt_s = dt_s
            self._quick = min(1.0, dt_s / QUICK_S)
            self._slow = min(1.0, dt_s / SLOW_S)
            self._minute = min(1.0, dt_s / MINUTE_S)
        self.quick_c += (pit_c - self.quick_c) * self._quick
        self.slow_c += (pit_c - self.slow_c) * self._slow
        self.minute_c += (pit_c - self.minute_c) * self._minute
