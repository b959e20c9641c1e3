"""Two guards that believe nobody: the blower's permission to run, and the watchdog's food.

The permission lasts less than three seconds and is renewed only by a control step that came to its
end. It is checked by a timer, so that the blower stops even if every task hangs; should the timer
hang too, the watchdog resets the board, and a reset stops the blower as well.
"""

from .drivers.const import const

PERMIT_MS = const(2700)
CHECK_MS = const(250)  # together below 3 s

SENSOR = const(1)
CONTROL = const(2)
INTERLOCK = const(4)
OUTPUT = const(8)
ALL = const(15)


class Permit:
    """The blower may run until `now_ms` passes the last renewal by PERMIT_MS."""

    def __init__(self, blower, ticks_ms, ticks_diff):
        self._blower = blower
        self._ticks_ms = ticks_ms
        self._ticks_diff = ticks_diff
        self._renewed = None
        self.expired = 0  # how often it has run out

    def renew(self):
        """A control step has come to its end."""
        self._renewed = self._ticks_ms()

    def check(self, _timer=None):
        """Called by a timer: cut the blower if nobody has renewed."""
        if self._renewed is None:
            return
        if self._ticks_diff(self._ticks_ms(), self._renewed) >= PERMIT_MS:
            self._renewed = None
            self.expired += 1
            self._blower.off()


class Proof:
    """What has been done in this period; only all four together feed the watchdog."""

    def __init__(self, feed=None):
        self.feed = feed
        self._done = 0

    def begin(self):
        """A new period: nothing has been done yet."""
        self._done = 0

    def did(self, part):
        """SENSOR, CONTROL, INTERLOCK or OUTPUT has done its work."""
        self._done |= part

    def settle(self):
        """End of the period: feed if nothing is missing. True if it was fed."""
        whole = self._done == ALL
        if whole:
            self.feed()
        self._done = 0
        return whole
