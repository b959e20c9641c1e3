"""Orders by the thousand, made by chance, for both interpreters: nothing out of its range may be taken.

Run as a program it prints one line: how many were given, taken, wrong, and what the heap has lost in bytes.
"""

import gc
import sys

from emberboard.core import limits as lim
from emberboard.core.controller import Controller, Inputs

NAMES = ("mode", "target", "gains", "lid", "vent", "pieces", "pulled", "acknowledge", "off", "", "__init__", "mode\x00")
FIELDS = (
    "mode", "phase", "target_c", "stone_c", "pit_limit_c", "longest_s", "at_cooker", "kp", "ti_s", "td_s", "b",
    "open", "vent", "opening", "pull_c", "index", "id", "nonsense",
)  # fmt: skip
NAN = float("nan")
INF = float("inf")
ODD = (
    None, True, False, NAN, INF, -INF, 1e308, -1, 0, -0.0, 0.5, 1, 1.0000001, 2**70, -(2**70), "225", "", "hold", "top",
    [], {}, [NAN], ["57"], [57.0, NAN], [1e9], {"a": 1}, "all", "pit_over_limit", [None] * 40, "x" * 500,
)  # fmt: skip
USUAL = {
    "mode": ("off", "hold", "drive", "bank"),
    "phase": ("", "light", "soak", "slow", "climb", "sear", "bank"),
    "target_c": (40.0, 39.99, 121.0, 300.0, 300.01),
    "stone_c": (100.0, 99.9, 260.0, 380.0, 380.1),
    "pit_limit_c": (100.0, 99.0, 400.0, 400.5, 250.0),
    "longest_s": (60.0, 59.0, 10800.0, 10801.0),
    "at_cooker": (True, True, False, 1),
    "kp": (0.0, 0.2, 0.21, -0.01),
    "ti_s": (120.0, 14400.0, 119.0, 14401.0),
    "td_s": (0.0, 900.0, 901.0, -1.0),
    "b": (0.0, 1.0, 1.1),
    "open": (True, False, 1, "yes"),
    "vent": ("top", "bottom", "side"),
    "opening": (0.0, 1.0, 1.5, -0.1),
    "pull_c": ([57.0, None], [20.0, 110.0], [19.0], [111.0], [0, 0], [57.0] * 3),
    "index": (0, 1, 2, -1, 0.5),
    "id": ("all", "pit_sensor", "nothing"),
}


class Chance:
    """A small generator that is the same under both interpreters (Numerical Recipes' constants, 31 bits kept)."""

    def __init__(self, seed):
        self.state = seed * 2654435 + 1

    def below(self, n):
        """A whole number 0..n-1."""
        self.state = (self.state * 1664525 + 1013904223) & 0x7FFFFFFF
        return (self.state >> 8) % n

    def of(self, items):
        """One of them."""
        return items[self.below(len(items))]


def order(chance):
    """A name and its arguments, some usual, some odd, some no object at all."""
    if chance.below(25) == 0:
        return chance.of(NAMES), chance.of(ODD)
    args = {}
    for _ in range(chance.below(5)):
        field = chance.of(FIELDS)
        usual = field in USUAL and chance.below(3)
        args[field] = chance.of(USUAL[field]) if usual else chance.of(ODD)
    return chance.of(NAMES), args


def state(c):
    """All that an order may change."""
    pid = c.hold.pid
    alerts = sorted((name, alert.acknowledged) for name, alert in c.alerts.items())
    return (
        c.mode, c.phase, c.target_c, c.stone_target_c, c.agreed.drive_limit_c, c.drive_left_s,
        c.agreed.vent_top, c.vent_bottom,
        pid.kp, pid.ti_s, pid.td_s, pid.b, c.lid.is_open, tuple(c.pulls.pull_c), str(alerts),
    )  # fmt: skip


def inside(value, low, high):
    """None, or an ordinary number in its range."""
    return value is None or (low <= value <= high and value is not True and value is not False)


def good(c):
    """Whether everything that can be ordered is inside its bounds."""
    pid = c.hold.pid
    pulls = [value for value in c.pulls.pull_c if not (value == 0 or inside(value, lim.PULL_LOW_C, lim.PULL_HIGH_C))]
    return (
        c.mode in USUAL["mode"]
        and c.phase in USUAL["phase"]
        and inside(c.target_c, lim.TARGET_LOW_C, lim.TARGET_HIGH_C)
        and inside(c.stone_target_c, lim.STONE_LOW_C, lim.STONE_HIGH_C)
        and inside(c.agreed.drive_limit_c, lim.PIT_LIMIT_LOW_C, lim.PIT_HARD_C)
        and c.drive_left_s <= lim.DRIVE_LONG_S
        and inside(c.agreed.vent_top, 0.0, 1.0)
        and inside(c.vent_bottom, 0.0, 1.0)
        and inside(pid.kp, lim.KP_LOW, lim.KP_HIGH)
        and inside(pid.ti_s, lim.TI_LOW_S, lim.TI_HIGH_S)
        and inside(pid.td_s, lim.TD_LOW_S, lim.TD_HIGH_S)
        and inside(pid.b, lim.B_LOW, lim.B_HIGH)
        and c.lid.is_open in (True, False)
        and not pulls
    )


def fuzz(count, seed):
    """(taken, wrong): how many of `count` were taken, and in what number the board was not as it should be after."""
    chance, c, inputs = Chance(seed), Controller(2), Inputs(2)
    inputs.pit_c = inputs.stone_c = 110.0
    taken = wrong = 0
    for k in range(count):
        if k % 7 == 0:
            c.tick(k * 1000, inputs)
            c.events.clear()
        name, args = order(chance)
        before = state(c)
        code, text = c.order(name, args, k * 1000)
        taken += code == ""
        refused_well = code in ("out_of_range", "not_now") and text and state(c) == before
        wrong += not (good(c) and (code == "" or refused_well))
    return taken, wrong


if __name__ == "__main__":
    total = int(sys.argv[1])
    fuzz(200, 1)
    gc.collect()
    before = gc.mem_alloc() if hasattr(gc, "mem_alloc") else 0
    taken, wrong = fuzz(total, 2)
    gc.collect()
    after = gc.mem_alloc() if hasattr(gc, "mem_alloc") else 0
    print(total, taken, wrong, after - before)
