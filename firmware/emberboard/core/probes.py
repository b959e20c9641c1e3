"""What a lying pit probe gives away over time: wires swapped, or no move while the lid is up."""

from . import interlocks as ask

SETTLE_S = 60.0  # a probe just put in takes on the pit's temperature first


class Probes:
    """Follows the pit from its first heating on; a verdict stands until a person acknowledges."""

    def __init__(self):
        self._start_c = None
        self._highest_c = None
        self._rose = False
        self._fed_s = 0.0

    def step(self, see, inputs, dt_s):
        """Ask about the pit probe of `see` (a controller)."""
        pit = see.pit
        if pit.raw_c is None or pit.condemned:
            return
        if see.lid.is_open:
            self._start_c = None
            self._fed_s = 0.0
            if ask.frozen_under_lid(pit.noise.same_s, see.lid.open_s, pit.raw_c):
                pit.condemn("frozen")
        elif not self._rose and see.asked > 0.0:
            self._fed_s += dt_s
            if self._fed_s > SETTLE_S:
                self._first_heating(pit, inputs.board_c)

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
