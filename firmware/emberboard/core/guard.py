"""The last word: asks the interlocks each tick and keeps their times and alerts.

What it answers goes straight to the outputs: `stop` blower 0, `damper` 'floor' or 'shut'. It looks
at temperatures and at the air that was commanded, never at how the controller came to it.
"""

from . import interlocks as ask
from .limits import HOLD_MARGIN_C, STARVED_CLEAR_C, STARVED_RAISE_C, STONE_LIMIT_C

ARM_S = 600.0
FORGET_LIMIT_S = 300.0
BELOW_LIMIT_C = 10.0
LEFT_OPEN_S = 1200.0


class Guard:
    """Holds the counters between ticks. `stop`, `damper`, `put_out` are the verdict."""

    def __init__(self, book, pit_limit_c):
        self.book = book
        self.pit_limit_c = pit_limit_c
        self.stop = True
        self.damper = ""
        self.put_out = False
        self.unanswered_s = 0.0
        self._mark_c = None
        self._over = 0
        self._stone_over = 0
        self._limit_c = pit_limit_c
        self._settled_s = 0.0
        self._mode = "off"

    def rearm(self):
        """Begin to wait for an answer anew (start, lid shut, acknowledged)."""
        self.unanswered_s = 0.0
        self._mark_c = None

    def pit_limit(self, see, dt_s):
        """The pit's limit now, degC."""
        if see.mode == "drive":
            self._limit_c = see.drive_limit_c
        elif see.mode == "hold":
            self._hold_limit(see, min(see.target_c + HOLD_MARGIN_C, self.pit_limit_c), dt_s)
        else:
            self._limit_c = self.pit_limit_c
        self._mode = see.mode
        return self._limit_c

    def _hold_limit(self, see, new_c, dt_s):
        """After a drive or a lowered target the old limit lasts until the pit has come down."""
        pit_c = see.pit.value_c
        below = pit_c is not None and pit_c < new_c - BELOW_LIMIT_C and not see.lid.is_open
        self._settled_s = self._settled_s + dt_s if below else 0.0
        started = below and self._mode in ("off", "bank")
        if new_c >= self._limit_c or started or self._settled_s >= FORGET_LIMIT_S:
            self._limit_c = new_c

    def step(self, see, dt_s, now_ms):
        """Ask every interlock about `see` (a controller) and give the verdict."""
        self.put_out = False
        self._sensors(see, now_ms)
        self._limits(see, dt_s, now_ms)
        self._answer(see, dt_s, now_ms)
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
        self._stone_over = self._count(self._stone_over, see.stone.raw_c, STONE_LIMIT_C)
        self._trip("pit_over_limit", ask.over_limit(self._over), see.pit.raw_c, limit_c, now_ms)
        stone_over = ask.over_limit(self._stone_over)
        self._trip("stone_over_limit", stone_over, see.stone.raw_c, STONE_LIMIT_C, now_ms)

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

    def _answer(self, see, dt_s, now_ms):
        """Heat in must make the pit rise: each two degrees won begin the wait anew."""
        pit_c = see.pit.value_c
        waits = pit_c is None or see.lid.is_open or see.lid.shut_s < ARM_S or see.run_s < ARM_S
        if waits or not ask.asks_for_heat(see.asked, see.short_c):
            self.rearm()
        elif self._mark_c is None or pit_c >= self._mark_c + ask.ANSWER_RISE_C:
            self._mark_c = pit_c
            self.unanswered_s = 0.0
        else:
            self.unanswered_s += dt_s
        if ask.not_answering(self.unanswered_s):
            self.book.put("not_answering", "trip", pit_c, self._mark_c, now_ms)
            self.book.over("not_answering")

    def _lid(self, see, now_ms):
        if see.lid.is_open and see.lid.open_s >= LEFT_OPEN_S and see.mode in ("hold", "drive"):
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
        tripped = self.book.any_of("trip")
        self.stop = tripped or self.book.any_of("pause") or see.lid.is_open or see.mode == "off"
        hot = "pit_over_limit" in self.book.alerts or "stone_over_limit" in self.book.alerts
        paused = tripped or self.book.any_of("pause")
        self.damper = "shut" if hot else ("floor" if paused else "")
