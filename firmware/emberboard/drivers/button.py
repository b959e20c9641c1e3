"""The lid button: pressed before the lid is opened, it takes the air away at once.

The pin is pulled up and a press shorts it to ground. A press counts once: edges within `quiet_ms`
of the last one are contact bounce, and an edge whose pin reads high again is a spike on the wire.
"""

QUIET_MS = 300


class Button:
    """`pin` has `irq` and `value`; `falling` is its edge; `ticks_*` are the board's clock."""

    def __init__(self, pin, falling, ticks_ms, ticks_diff, quiet_ms=QUIET_MS):
        self._pin = pin
        self._ticks_ms = ticks_ms
        self._ticks_diff = ticks_diff
        self.on_press = None  # called at once, from the interrupt
        self._quiet_ms = quiet_ms
        self._last_ms = None
        self._pressed = False
        pin.irq(handler=self._edge, trigger=falling)

    def take(self):
        """True once after each press."""
        pressed = self._pressed
        self._pressed = False
        return pressed

    def _edge(self, _pin):
        now_ms = self._ticks_ms()
        last_ms = self._last_ms
        if self._pin.value():
            return
        if last_ms is not None and self._ticks_diff(now_ms, last_ms) < self._quiet_ms:
            return
        self._last_ms = now_ms
        self._pressed = True
        if self.on_press is not None:
            self.on_press()
