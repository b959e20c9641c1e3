"""The one time scale: multiplies every time constant and divides the gains, 1 to 2.5.

A cold cooker sets it by how late it answers at all; an overshoot with the air cut raises it.
"""

ANSWER_C = 4.0
ANSWER_S = 180.0
ANSWER_SCALE_S = 300.0
OVERSHOT_C = 2.0
SLOWER = 1.08
LEARN_MOST = 2.0


class TimeScale:
    """Moves `see.scale` of an observer; `coast` is the scale that a stone's coast is taken by."""

    def __init__(self, see, on=True):
        self.see = see
        self.on = on
        self._late = None
        self._cold_c = None
        self._peak_c = 0.0

    def start(self, cold_c):
        """Another target; `cold_c`: the pit of a cold cooker that gets full air now, else None."""
        self._cold_c = cold_c
        self._peak_c = 0.0

    def answer(self, pit_c, flat_s):
        """How long a cold cooker takes to answer at all, in s of full air, sets the scale."""
        if self._cold_c is None or pit_c < self._cold_c + ANSWER_C:
            return
        self._cold_c = None
        if self.on:
            self.see.set_scale(1.0 + (flat_s - ANSWER_S) / ANSWER_SCALE_S)
            self._late = self.see.scale

    @property
    def coast(self):
        """By the first answer where there was one: an overshoot may have other causes."""
        return self.see.scale if self._late is None else self._late

    def arrived(self):
        """Overshoots count from here on."""
        self._peak_c = 0.0

    def overshot(self, over_c):
        """Too hot although the air is cut: slower than it was taken for."""
        if not self.on or over_c <= max(OVERSHOT_C, self._peak_c + 0.5):
            return
        self._peak_c = over_c
        if self.see.scale < LEARN_MOST:
            self.see.set_scale(min(self.see.scale * SLOWER, LEARN_MOST))
