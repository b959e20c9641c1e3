"""The lid button: pressed before the lid is opened, it takes the air away at once.

The pin is pulled up and a press shorts it to ground. A press counts once: edges within `quiet_ms`
of the last one are contact bounce, an edge whose pin reads high again is a spike on the wire, and
until the button was seen up again a further edge belongs to the same press. Held for `LONG_MS` and
let go it says that the lid is shut; one that stays down for longer than `STUCK_MS` says nothing.
"""

QUIET_MS = 300
LONG_MS = 2000
STUCK_MS = 10000


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
        self._down = False
        self._down_ms = 0
        self._held = False
        pin.irq(handler=self._edge, trigger=falling)

    def take(self):
        """True once after each press."""
        self.watch()
        pressed = self._pressed
        self._pressed = False
        return pressed

    def take_held(self):
        """True once after each long press, when it was let go."""
        held = self._held
        self._held = False
        return held

    def watch(self):
        """See whether it is down still; call it several times a second."""
        if not self._down:
            return
        if self._pin.value():
            self._down = False
            self._held = LONG_MS <= self._down_ms <= STUCK_MS
        else:
            self._down_ms = self._ticks_diff(self._ticks_ms(), self._last_ms)

    def _edge(self, _pin):
        now_ms = self._ticks_ms()
        last_ms = self._last_ms
        if self._pin.value() or self._down:
            return
        if last_ms is not None and self._ticks_diff(now_ms, last_ms) < self._quiet_ms:
            return
        self._last_ms = now_ms
        self._down_ms = 0
        self._down = self._pressed = True
        if self.on_press is not None:
            self.on_press()
