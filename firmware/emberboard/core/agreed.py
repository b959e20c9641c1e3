"""What accepted orders say and settings allow: all that the guard knows of anybody's will.

Nothing of the laws is written here. Targets and limits are kept twice (`twice.py`).
"""

from .limits import (
    HOLD_MARGIN_C,
    LIMIT_BOUNDS,
    PIT_LIMIT_C,
    STONE_LIMIT_C,
    VENT_OPEN,
    within,
)
from .twice import Twice

KEPT = (
    "target_c",
    "stone_target_c",
    "drive_limit_c",
    "pit_limit_c",
    "stone_limit_c",
    "hold_margin_c",
)


class Agreed:
    """Mode, targets, limits (degC), the told lid; `changes` counts what may begin a wait anew."""

    def __init__(self, settings):
        self.mode = "off"
        self.target_c = None
        self.stone_target_c = None
        self.pit_limit_c = PIT_LIMIT_C
        self.stone_limit_c = STONE_LIMIT_C
        self.hold_margin_c = HOLD_MARGIN_C
        for name, low, high in LIMIT_BOUNDS:
            value = within(settings.get(name), low, high)
            if value is not None:
                setattr(self, name, float(value))
        self.drive_limit_c = self.pit_limit_c
        self.lid_told = False
        self.vent_top = 0.0  # as it was marked, 0..1
        self.changes = 0
        self.kept = Twice(self, KEPT)

    def put(self, name, value):
        """Set a target or a limit and its copy."""
        self.kept.put(name, value)

    def drive(self, stone_c, pit_limit_c):
        """What a drive is for, and how hot the pit may be in it; None: as before, as ever."""
        if stone_c is not None:
            self.put("stone_target_c", stone_c)
        self.put("drive_limit_c", pit_limit_c or self.pit_limit_c)

    def enter(self, mode):
        """Take a mode; return whether it is another one."""
        if mode == self.mode:
            return False
        self.mode = mode
        self.changes += 1
        return True

    def waits_for_vent(self):
        """A drive whose top vent is not marked open gets little air."""
        return self.mode == "drive" and self.vent_top < VENT_OPEN

    def acknowledged(self):
        """A person has looked: what waits for an answer may wait anew."""
        self.changes += 1
