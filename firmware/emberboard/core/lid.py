"""Is the lid open? Told at the cooker, told on a page, felt by the pit: any takes the air away.

What is nearer to the cooker outweighs what is further: a page without anybody there takes back
only what a page has told. docs/explain/lid.md has the table that this carries out.
"""

from .interlocks import lid_fell_away, lid_fell_open, lid_is_back, lid_was_shut

QUICK_S = 3.0
SLOW_S = 25.0
MINUTE_S = 60.0
SHORTEST_S = 10.0
LONGEST_S = 240.0
ASK_S = 60.0
LONG_S = 86400.0


class Lid:
    """`there`, `page`, `felt`: who holds it for open; `open_s` for how long already.

    `lifted` is what no order can bring about, and `shut_s` the time since that ended: the guard
    waits by it. `page` stops the air, and nobody's watch.
    """

    def __init__(self):
        self.there = False
        self.page = False
        self.felt = False
        self.open_s = 0.0
        self.shut_s = 1e6
        self.quick_c = None
        self.slow_c = None
        self.minute_c = None
        self._doubt = False  # counted as shut, though the pit has not come back
        self._back_s = 0.0
        self._felt_s = 0.0
        self._word_c = 0.0  # where the pit stood as somebody said so
        self._told_c = None  # and its lowest since
        self._lowest_c = 0.0
        self._from_c = 0.0
        self._dt_s = 0.0
        self._quick = 1.0
        self._slow = 1.0
        self._minute = 1.0

    @property
    def is_open(self):
        """Open, by word or by feel."""
        return self.there or self.page or self.felt

    @property
    def told(self):
        """Open because somebody said so."""
        return self.there or self.page

    @property
    def lifted(self):
        """Open by a hand at the cooker or by the pit."""
        return self.there or self.felt

    @property
    def in_doubt(self):
        """Somebody should look: told open but the pit is back, or held for shut and it is not."""
        return self._back_s >= ASK_S if self.told else self._doubt

    # ------------------------------------------------------------------ what is said

    def press(self):
        """A press at the cooker means open, whatever was believed before."""
        self._word()
        self.open_s = 0.0
        self.there = True
        self.page = self.felt = self._doubt = False

    def shut(self):
        """A person at the cooker says that it is shut."""
        if self.lifted:
            self._lowered()
        self.there = self.page = self.felt = self._doubt = False

    def say_open(self):
        """A page says that it is open."""
        if not self.is_open:
            self._word()
            self.open_s = 0.0
        self.page = True

    def unsay(self):
        """A page without anybody there says that it is shut: that takes back its own word."""
        self.page = False

    def forget(self):
        """After a fault: what was smoothed is worth nothing."""
        self.quick_c = self._told_c = None
        self.felt = self._doubt = False

    # ------------------------------------------------------------------ what is felt

    def step(self, pit_c, dt_s, explained_c=0.0, has_air=False):
        """Take the pit (degC) `dt_s` later; return whether the lid is open.

        `has_air`: a hold that has arrived, short of its target, and its air has not been cut.
        """
        self._smooth(pit_c, dt_s)
        if self.is_open:
            self.open_s += dt_s
        if not self.lifted and self.shut_s < LONG_S:
            self.shut_s += dt_s
        if self.told:
            self._ask(dt_s)
        if self.felt:
            self._feel_shut(dt_s)
        elif not self.there:
            self._feel_open(explained_c, has_air)
        return self.is_open

    def _feel_open(self, explained_c, has_air):
        if lid_fell_open(self.quick_c, self.slow_c, explained_c):
            self._lift(self.slow_c)
        elif has_air and self._fell_away():
            self._lift(self.minute_c)
        elif self._doubt:
            self._doubt = not lid_was_shut(self.quick_c, self._lowest_c, self._from_c)

    def _lift(self, from_c):
        if not self.is_open:
            self.open_s = 0.0
        self.felt = True
        self._doubt = False
        self._felt_s = 0.0
        self._lowest_c = self.quick_c
        self._from_c = from_c

    def _fell_away(self):
        calm = not self.is_open and self.shut_s >= LONGEST_S
        return calm and lid_fell_away(self.quick_c, self.minute_c)

    def _feel_shut(self, dt_s):
        """The pit's rise ends it; without one it is counted as shut in the end, and doubted.

        A page that says open as well lets it wait.
        """
        if not self.page or self._felt_s < SHORTEST_S:
            self._felt_s += dt_s
        self._lowest_c = min(self._lowest_c, self.quick_c)
        back = self._felt_s >= SHORTEST_S and lid_is_back(self.quick_c, self._lowest_c)
        if back or self._felt_s >= LONGEST_S:
            self.felt = False
            self._doubt = not back
            self._lowered()

    def _ask(self, dt_s):
        """Under a word the pit only asks: after a minute of being back, whether it is shut."""
        quick_c = self.quick_c
        if self._told_c is None or quick_c < self._told_c:
            self._told_c = quick_c
        low_c, word_c = self._told_c, self._word_c
        back = lid_is_back(quick_c, low_c) and lid_was_shut(quick_c, low_c, word_c)
        self._back_s = self._back_s + dt_s if back else 0.0

    def _word(self):
        stood_c = self._from_c if self.felt else self.slow_c
        self._word_c = stood_c or 0.0
        self._told_c = None
        self._back_s = 0.0

    def _lowered(self):
        """What was lifted is down: the waits begin, what it fell from says nothing any more."""
        self.shut_s = 0.0
        if self.quick_c is not None:
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


def hear_button(see, inputs, now_ms):
    """The lid button of `see` (a controller). Let go after a long press: shut. A press: open.

    A press is the later of the two where both fall into one second.
    """
    if inputs.lid_held:
        see.note("button", None, None, "held")
        see.tell_lid(see.lid.shut)
    if inputs.lid_button:
        see.pressed_ms = now_ms
        see.note("button", None, None, "")
        see.tell_lid(see.lid.press)
