"""The air that the mode in force wants: a duty for the blower and an opening for the damper.

The laws are stepped every few seconds: a fire of minutes needs no more, and a board with boxed
floats is spared. An open lid, a stop and the end of a drive act on the tick they happen.
"""

from .drive import WAIT_VENT_DUTY
from .limiter import LOW
from .limits import DAMPER_FLOOR, KEEP_DUTY, clamp
from .reading import Smooth

NEARLY_SHUT = 0.02
HALF = 0.5
STUCK_GAIN = 0.4
STUCK_LOW = 0.03
NO_TARGET_C = 120.0
EXIT = 0.3
LAW_FILTER_S = 10.0


class Air:
    """`duty` 0..1 and `opening` 0..1 (None: leave the damper untouched) as last decided."""

    def __init__(self):
        self.duty = 0.0
        self.opening = None
        self.fresh = True
        self._waited = False
        self._blind = False  # the pit was not seen: what the observer believes of it is old
        # The law's own line of the pit is quicker than the one that the watch judges by: half a
        # minute of delay in the slope makes a cooker swing that follows its fire at once.
        self.line = Smooth(LAW_FILTER_S)

    def step(self, see, slow_s, now_ms):
        """Decide for `see` (a controller); `slow_s` is 0 between the laws' own steps."""
        pit_c = see.pit_line.level
        self._smooth(see, slow_s)
        see.relay.watch(see)
        if see.mode == "off" or pit_c is None:
            self._set(0.0, None)
            self._blind = True
        elif see.mode == "bank":
            self._set(0.0, 0.0)
        elif see.mode == "drive" and see.drive_left_s <= 0.0:
            see.end_drive(now_ms)
            self._set(0.0, DAMPER_FLOOR)
        elif see.lid.is_open or see.book.stops():
            self._wait(see, pit_c, slow_s)
        elif slow_s > 0.0 or self._waited or self.fresh:
            self._waited = False
            self._law(see, pit_c, slow_s)

    def _smooth(self, see, slow_s):
        if see.pit.value_c is None:
            self.line.reset()
        elif slow_s > 0.0:
            self.line.update(see.lid.quick_c, slow_s)

    def _set(self, duty, opening):
        self.duty = duty
        self.opening = opening

    def _wait(self, see, pit_c, slow_s):
        if slow_s > 0.0 or not self._waited:
            self._waited = True
            see.hold.wait(see.target_c or NO_TARGET_C, pit_c)
        # The guard lets through of it what keeps a fire, and nothing in a pause.
        keeps = see.mode == "hold" and see.lid.is_open
        self._set(KEEP_DUTY if keeps else 0.0, self._under_lid(see))

    def _under_lid(self, see):
        """The damper stays where it holds, once that is known: wide open it would fan the fire."""
        if see.mode != "hold" or not see.hold.held_once:
            return 1.0
        return self._damper(see.hold.see.hold_air(see.target_c), see.watch.stuck_on)

    def _law(self, see, pit_c, slow_s):
        slope_cps = see.pit_line.slope
        if self._blind:
            self._blind = False
            see.hold.see_again(pit_c)
        if see.mode == "drive":
            self.fresh = False
            see.short_c = see.stone_target_c - see.drive.stone_c
            air = self._drive(see, pit_c, slope_cps, slow_s)
        else:
            if self.fresh:
                self.fresh = False
                see.hold.start(see.target_c, pit_c)
            see.short_c = see.target_c - pit_c
            line = self.line
            level_c = line.level or pit_c
            air = see.hold.step(see.target_c, level_c, line.slope, slow_s, slope_cps)
            if see.relay.left_s > 0.0:
                air = see.relay.step(see, air, slow_s)
        self._set(max(air, 0.0), self._damper(air, see.watch.stuck_on))

    def _drive(self, see, pit_c, slope_cps, slow_s):
        rate = see.stone_line.slope
        limit_c = see.agreed.drive_limit_c
        air = see.drive.step(see.stone_target_c, rate, pit_c, slope_cps, limit_c, slow_s)
        if see.agreed.waits_for_vent() and air > WAIT_VENT_DUTY:
            see.drive.why = "drive_wait_vent"
            return WAIT_VENT_DUTY
        return air

    def _damper(self, air, stuck_on):
        """Open while the blower runs, closing for air below nothing; alone against a stuck one."""
        if stuck_on:
            return clamp(STUCK_GAIN * (air - LOW), STUCK_LOW, HALF)
        return opening_for(1.0 - air / LOW)


def opening_for(share):
    """The opening that lets through `share` (0..1) of the draught's air.

    Two orifices in series, intake o and a fixed exit e (of the intake's area): the draught drives
    o / sqrt(o^2 + e^2) of what a wide intake would pass. Half of it is in the first sixth of the
    way, so a damper moved in proportion has several times the gain where it is nearly shut.
    """
    s = clamp(share, 0.0, 1.0)
    most2 = 1.0 / (1.0 + EXIT * EXIT)
    return clamp(EXIT * s * (most2 / (1.0 - s * s * most2)) ** 0.5, NEARLY_SHUT, 1.0)
