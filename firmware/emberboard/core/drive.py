"""Drive the stone: flat out below the pit's limit, cut early by the stone's own coast."""

from .limits import clamp

CUT_S = 240.0
PIT_ROOM_C = 15.0
PIT_BAND_C = 20.0
STONE_LAG_S = 900.0
KP_PER_C = 0.02
WAIT_VENT_DUTY = 0.3


class Drive:
    """`step` returns the duty wanted; `stone_c` is measured, or estimated without a probe."""

    def __init__(self):
        self.stone_c = None
        self.cut = False
        self.duty = 0.0
        self.why = "drive"

    def start(self, pit_c):
        """Begin; an estimate of the stone lasts over a change of target."""
        self.cut = False
        if self.stone_c is None:
            self.stone_c = min(pit_c, 100.0)

    def watch(self, stone_c, pit_c, dt_s):
        """Keep the stone's temperature: its probe, or a lag of the pit where there is none."""
        if stone_c is not None:
            self.stone_c = stone_c
        elif self.stone_c is None:
            self.stone_c = pit_c
        else:
            self.stone_c += (pit_c - self.stone_c) * min(1.0, dt_s / STONE_LAG_S)

    def step(self, target_c, rate_cps, pit_c, limit_c, vent_open):
        """Return the duty 0..1 that takes the stone to `target_c`, pit below `limit_c`."""
        short_c = target_c - self.stone_c - CUT_S * max(rate_cps, 0.0)
        self.cut = self.cut or short_c <= 0.0
        duty = clamp(KP_PER_C * short_c, 0.0, 1.0) if self.cut else 1.0
        self.why = "drive_cut" if self.cut else "drive"
        room = clamp((limit_c - PIT_ROOM_C - pit_c) / PIT_BAND_C, 0.0, 1.0)
        if room < duty:
            duty = room
            self.why = "drive_pit_limit"
        if not vent_open and duty > WAIT_VENT_DUTY:
            duty = WAIT_VENT_DUTY
            self.why = "drive_wait_vent"
        self.duty = duty
        return duty
