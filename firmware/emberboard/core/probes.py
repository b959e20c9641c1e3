"""What a lying pit probe gives away over time: wires swapped, or no move where a pit must move."""

from . import interlocks as ask

SETTLE_S = 60.0  # a probe just put in takes on the pit's temperature first


class Probes:
    """Follows the pit from its first heating on; a verdict stands until a person acknowledges."""

    def __init__(self):
        self._start_c = None
        self._highest_c = None
        self._rose = False
        self._fed_s = 0.0

    def step(self, samples, duty, full_s, dt_s):
        """Ask about the pit probe; `duty` is wanted now, and full air has been for `full_s`."""
        pit = samples.pit
        if pit.raw_c is None or pit.condemned:
            return
        if ask.frozen_at_full_air(pit.noise.same_s, full_s):
            pit.condemn("frozen")
        elif samples.is_open:
            self._start_c = None
            self._fed_s = 0.0
            if ask.frozen_under_lid(pit.noise.same_s, samples.open_s, pit.raw_c):
                pit.condemn("frozen")
        elif not self._rose and duty > 0.0:
            self._fed_s += dt_s
            if self._fed_s > SETTLE_S:
                self._first_heating(pit, samples.inputs.board_c)

    def _first_heating(self, pit, board_c):
        if self._start_c is None:
            self._start_c = self._highest_c = pit.raw_c
        self._highest_c = max(self._highest_c, pit.raw_c)
        self._rose = self._highest_c - self._start_c >= ask.REVERSED_C
        if board_c is None:
            return  # without a second sign nothing is said
        if ask.reversed_probe(pit.raw_c, self._start_c, self._highest_c, board_c):
            pit.condemn("reversed")
            self._start_c = None
