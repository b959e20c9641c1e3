"""The last word: asks the interlocks each tick and keeps their times and alerts.

What it answers goes straight to the outputs: `stop` blower 0, `damper` 'floor' or 'shut'. It looks
at temperatures and at the air that was commanded, never at how the controller came to it.
"""

from . import interlocks as ask
from .limits import (
    HOLD_MARGIN_C,
    LIMIT_BOUNDS,
    STARVED_CLEAR_C,
    STARVED_RAISE_C,
    STONE_LIMIT_C,
    within,
)
from .parts import Parts
from .probes import Probes
from .twice import Twice
from .watch import Watch

FORGET_LIMIT_S = 300.0
BELOW_LIMIT_C = 10.0
LEFT_OPEN_S = 1200.0
PUT_OUT = ("pit_over_limit", "stone_over_limit", "runaway", "grease_fire")


class Guard:
    """Holds the counters between ticks. `stop`, `damper`, `put_out` are the verdict."""

    def __init__(self, book, pit_limit_c):
        self.book = book
        self.pit_limit_c = self._limit_c = pit_limit_c
        self.stone_limit_c = STONE_LIMIT_C
        self.hold_margin_c = HOLD_MARGIN_C
        self.kept = Twice(self, ("pit_limit_c", "stone_limit_c", "hold_margin_c", "_limit_c"))
        self.watch = Watch(book)
        self.parts = Parts(book)
        self.probes = Probes()
        self.stop = True
        self.paused = False
        self.damper = ""
        self.put_out = False
        self._over = 0
        self._stone_over = 0
        self._settled_s = 0.0
        self._mode = "off"

    def rearm(self):
        """Begin to wait for an answer anew."""
        self.watch.rearm()

    def bound(self, settings):
        """Limits from the board's settings, each only inside its hard bounds."""
        for name, low, high in LIMIT_BOUNDS:
            value = within(settings.get(name), low, high)
            if value is not None:
                self.kept.put(name, float(value))
        self.kept.put("_limit_c", self.pit_limit_c)

    def pit_limit(self, see, dt_s):
        """The pit's limit now, degC."""
        if see.mode == "drive":
            self.kept.put("_limit_c", see.drive_limit_c)
        elif see.mode == "hold":
            self._hold_limit(see, min(see.target_c + self.hold_margin_c, self.pit_limit_c), dt_s)
        else:  # nothing is blown now: what a drive was allowed is no reason to trip
            self.kept.put("_limit_c", max(self._limit_c, self.pit_limit_c))
        self._mode = see.mode
        return self._limit_c

    def _hold_limit(self, see, new_c, dt_s):
        """After a drive or a lowered target the old limit lasts until the pit has come down."""
        pit_c = see.pit.value_c
        below = pit_c is not None and pit_c < new_c - BELOW_LIMIT_C and not see.lid.is_open
        self._settled_s = self._settled_s + dt_s if below else 0.0
        started = below and self._mode in ("off", "bank")
        if new_c >= self._limit_c or started or self._settled_s >= FORGET_LIMIT_S:
            self.kept.put("_limit_c", new_c)

    def step(self, see, inputs, dt_s, slow_s, now_ms):
        """Ask every interlock about `see` (a controller) and give the verdict."""
        self.put_out = False
        if see.kept.changed() or self.kept.changed():  # before anything is written anew
            self.book.put(
                "memory_bad", "trip", None, None, now_ms
            )  # never over while this start lasts
        self.probes.step(see, inputs, dt_s)
        self._sensors(see, now_ms)
        self._limits(see, dt_s, now_ms)
        self.parts.step(see, inputs, dt_s, now_ms)
        if see.mode in ("hold", "drive"):
            if slow_s > 0.0:
                self.put_out = self.watch.step(see, slow_s, now_ms) or self.put_out
            self._grease(see, now_ms)
        self._lid(see, now_ms)
        self._starved(see, now_ms)
        self._verdict(see)

    def _sensors(self, see, now_ms):
        pit, stone = see.pit, see.stone
        if pit.fault and see.mode != "off":
            self.book.put("pit_sensor", "pause", None, None, now_ms)
        elif not pit.fault:
            self.book.over("pit_sensor")
        if stone.fault and see.stone_seen:
            self.book.put("stone_sensor", "notice", None, None, now_ms)
        elif not stone.fault:
            self.book.over("stone_sensor")

    def _limits(self, see, dt_s, now_ms):
        limit_c = self.pit_limit(see, dt_s)
        self._over = self._count(self._over, see.pit.raw_c, limit_c)
        stone_c, most_c = see.stone.raw_c, self.stone_limit_c
        self._stone_over = self._count(self._stone_over, stone_c, most_c)
        self._trip("pit_over_limit", ask.over_limit(self._over), see.pit.raw_c, limit_c, now_ms)
        stone_over = ask.over_limit(self._stone_over)
        self._trip("stone_over_limit", stone_over, stone_c, most_c, now_ms)

    def _trip(self, name, wrong, value, limit, now_ms):
        if wrong:
            self.book.put(name, "trip", value, limit, now_ms)
            self.put_out = True
        else:
            self.book.over(name)

    def _count(self, n, value_c, limit_c):
        if value_c is None:
            return 0
        return min(n + 1, 100) if ask.at_or_over(value_c, limit_c) else 0

    def _grease(self, see, now_ms):
        lid = see.lid
        if lid.quick_c is not None and ask.grease_fire(lid.quick_c, lid.slow_c, lid.shut_s):
            self.put_out = True
            self.book.put("grease_fire", "trip", lid.quick_c, lid.slow_c, now_ms)
            self.book.over("grease_fire")

    def _lid(self, see, now_ms):
        long = see.lid.is_open and see.lid.open_s >= LEFT_OPEN_S
        if (long or see.lid.in_doubt) and see.mode in ("hold", "drive"):
            self.book.put("lid_left_open", "notice", see.lid.open_s, LEFT_OPEN_S, now_ms)
        else:
            self.book.over("lid_left_open")

    def _starved(self, see, now_ms):
        pit_c = see.pit.value_c
        if pit_c is None:
            return
        if see.air_shut and pit_c >= STARVED_RAISE_C:
            self.book.put("starved_hot", "notice", pit_c, STARVED_CLEAR_C, now_ms)
        elif pit_c < STARVED_CLEAR_C:
            self.book.over("starved_hot", keep=False)

    def _verdict(self, see):
        alerts = self.book.alerts
        self.paused = self.book.any_of("trip") or self.book.any_of("pause")
        self.stop = self.paused or see.lid.is_open or see.mode == "off"
        self.damper = "floor" if self.paused else ""
        if self.paused:
            for name in PUT_OUT:
                if name in alerts:
                    self.damper = "shut"
