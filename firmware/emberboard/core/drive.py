"""Drive the stone: flat out, cut by the stone's own coast, then a cascade over the pit.

Coming up flat out is all there is. After the cut the stone coasts by nearly one fixed time times
its rate where the fire is slow (it is about three times what holding takes), and by less where the
cut at the end of the lighting showed that the pit follows its fire at once.
Then the stone's error moves the pit's target and the hold law does the rest: a direct loop from
stone to air oscillates.
"""

import math

from .limits import clamp

CUT_S = 126.0
AGAIN_C = 14.0
STOPS_C = 5.0
STOPS_RATE = 0.7
STOPS_S = 30.0
SHORTEST_S = 30.0
MARGIN = 1.5
TRIES = 3
CLOSE_C = 3.0
OUTER = 0.8
OUTER_TI_S = 1800.0
OUTER_TD_S = 300.0
NEAR_C = 15.0
PIT_ROOM_C = 15.0
PIT_BAND_C = 20.0
PIT_LOOK_S = 150.0
MOVES_S = 300.0
STONE_LAG_S = 900.0
WAIT_VENT_DUTY = 0.3
BASE_C = 20.0
RATIO = 1.35
RATIO_LOW, RATIO_HIGH = 1.15, 2.2
TRIM_C = 80.0


class Drive:
    """`step` returns the air wanted; `stone_c` is measured, or estimated without a probe."""

    def __init__(self, hold):
        self.hold = hold
        self.stone_c = None
        self.cut = False
        self.coast_s = None  # as seen on this stone, once it stopped short
        self._cut_c = 0.0
        self._cut_rate = 0.0
        self._tries = 0
        self._since_s = 0.0
        self._cut_s = 0.0
        self.ratio = RATIO
        self.trim_c = 0.0
        self.pit_target_c = None
        self.why = "drive"

    def start(self, pit_c):
        """Begin; what stone and pit were like before tells what pit the target will take."""
        self.cut = False
        self.coast_s = None
        self._tries = 0
        self.trim_c = 0.0
        if self.stone_c is None:
            self.stone_c = min(pit_c, 100.0)
        if self.stone_c > 60.0:
            ratio = (self.stone_c - BASE_C) / max(pit_c - BASE_C, 30.0)
            self.ratio = clamp(ratio, RATIO_LOW, RATIO_HIGH)

    def watch(self, stone_c, pit_c, dt_s):
        """Keep the stone's temperature: its probe, or a lag of the pit where there is none."""
        if stone_c is not None:
            self.stone_c = stone_c
        elif self.stone_c is None:
            self.stone_c = pit_c
        else:
            self.stone_c += (pit_c - self.stone_c) * min(1.0, dt_s / STONE_LAG_S)

    def step(self, target_c, rate_cps, pit_c, slope_cps, limit_c, dt_s):
        """Return the air that takes the stone to `target_c`, pit below `limit_c`."""
        short_c = target_c - self.stone_c
        slow = self.hold.slow.coast
        coast_s = self.coast_s or CUT_S * self.hold.trust.quick * slow * slow
        coast_c = coast_s * max(rate_cps, 0.0)
        if not self.cut and short_c <= max(coast_c, CLOSE_C):
            self.cut = True
            self._cut_c = self.stone_c
            self._cut_rate = rate_cps
            self._since_s = 0.0
            self._cut_s = 0.0
            self.hold.full_is_over(again=False)
            self.hold.start(self._base(target_c), pit_c)
        elif self.cut and (
            short_c > AGAIN_C + coast_c or self._stops_short(short_c, rate_cps, dt_s)
        ):
            self.cut = False
        if self.cut:
            duty = self._cascade(target_c, short_c, rate_cps, pit_c, slope_cps, limit_c, dt_s)
        else:
            duty = self.hold.full(pit_c, dt_s)
            self.why = "drive"
        soon_c = pit_c + PIT_LOOK_S * max(slope_cps, 0.0)
        room = clamp((limit_c - PIT_ROOM_C - soon_c) / PIT_BAND_C, 0.0, 1.0)
        if room < duty:
            duty = room
            self.why = "drive_pit_limit"
        return duty

    def _stops_short(self, short_c, rate_cps, dt_s):
        """It will stand before it is there: the coast was taken too long, the one seen is right.

        What is still to come is read off how quickly the rate dies: a fire that is on its way
        through a slow cooker shows as a rate that does not die yet, and is waited for. Where the
        pit follows its fire at once the cascade makes up for more than elsewhere.
        """
        self._since_s += dt_s
        least_c = STOPS_C * self.hold.see.scale / self.hold.trust.quick
        if short_c < least_c or self._since_s < STOPS_S or self._tries >= TRIES:
            return False
        share = max(rate_cps, 0.0) / max(self._cut_rate, 1e-3)
        if share > STOPS_RATE:
            return False
        dies_s = self._since_s / -math.log(max(share, 0.01))
        comes_c = max(rate_cps, 0.0) * dies_s * MARGIN
        if comes_c > short_c - least_c:
            return False
        self._tries += 1
        seen_s = (self.stone_c + comes_c - self._cut_c) / max(self._cut_rate, 1e-3)
        self.coast_s = max(seen_s, SHORTEST_S)
        return True

    def _base(self, target_c):
        return BASE_C + (target_c - BASE_C) / self.ratio

    def _cascade(self, target_c, short_c, rate_cps, pit_c, slope_cps, limit_c, dt_s):
        self.why = "drive_cut"
        self._cut_s += dt_s
        if abs(short_c) < NEAR_C:
            self.trim_c = clamp(self.trim_c + short_c * dt_s / OUTER_TI_S, -TRIM_C, TRIM_C)
        want_c = self._base(target_c) + self.trim_c + OUTER * short_c - OUTER_TD_S * rate_cps
        self.pit_target_c = clamp(want_c, 60.0, limit_c - PIT_ROOM_C - 5.0)
        self.hold.moving = True
        self.hold.from_above = self._cut_s < MOVES_S
        return self.hold.step(self.pit_target_c, pit_c, slope_cps, dt_s)
