"""A relay test inside a hold: the learnt air plus and minus a tenth, switched about the target.

It ends after some swings; before that with any alert, an open lid, another mode or target, ten
degrees off, or three hours. The target stays: no heat is raised. The host reads the cooker off the
record of it (tuning/relay.py); the event `relay_end` says how many swings there were.
"""

SIZE = 0.1
UNEVEN = 1.2  # the step up is larger, so that the cooker's own gain shows
BAND_C = 0.5
NEAR_C = 3.0
STRAY_C = 10.0
SWINGS = 6
LONGEST_S = 10800.0


class Relay:
    """`left_s` is above 0 while a test runs."""

    def __init__(self):
        self.left_s = 0.0

    def start(self, see):
        """Begin on `see` (a controller); False when it holds nothing calmly, or has no room."""
        if self._broken(see, NEAR_C):
            return False
        held = see.hold.see.hold_air(see.target_c)
        room = min(SIZE, held, (1.0 - held) / UNEVEN)
        self.low, self.high = held - room, held + UNEVEN * room
        self.air = self.high if see.short_c > 0.0 else self.low
        self.left_s, self.swings = LONGEST_S, 0
        return room >= 0.02 or self.end(see)

    def end(self, see):
        """The hold goes on by itself."""
        if self.left_s > 0.0:
            self.left_s = 0.0
            see.note("relay_end", self.swings, None, "")

    def watch(self, see):
        """Each second: what breaks a test ends it at once."""
        if self.left_s > 0.0 and (see.air.fresh or self._broken(see, STRAY_C)):
            self.end(see)

    def step(self, see, air, dt_s):
        """The air of the test in place of the hold's `air`, which is told what went out."""
        if self.swings >= SWINGS or self.left_s <= dt_s:
            self.end(see)
            return air
        self.left_s -= dt_s
        if see.short_c < -BAND_C:
            self.air = self.low
        elif see.short_c > BAND_C and self.air != self.high:
            self.air = self.high
            self.swings += 1
        see.hold.why = "relay"
        see.hold.duty = self.air
        return self.air

    def _broken(self, see, far_c):
        if see.mode != "hold" or see.lid.is_open or see.alerts or see.pit.value_c is None:
            return True
        return not see.hold.arrived or abs(see.short_c) > far_c
