"""Milliseconds since the board started, as a plain integer that never wraps.

The board's own counter wraps after 12.4 days. Asking at least once in six days keeps this right;
the control loop asks every second.
"""


class Uptime:
    """`ticks_ms` and `ticks_diff` are the board's clock."""

    def __init__(self, ticks_ms, ticks_diff):
        self._ticks_ms = ticks_ms
        self._ticks_diff = ticks_diff
        self._last = ticks_ms()
        self._ms = 0

    def ms(self):
        """Now."""
        now = self._ticks_ms()
        self._ms += self._ticks_diff(now, self._last)
        self._last = now
        return self._ms
