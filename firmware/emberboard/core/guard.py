"""The last word on the air: it believes samples and accepted orders, and no law.

    verdict = guard.tick(now_ms, samples, commanded, agreed)
    drive = verdict.of(now_ms, drive)

Stepped last, by whoever drives the outputs; a verdict that is not of this very step gives no air.
All questions stand in `interlocks.py`. Orders begin no wait anew, but for a real change of mode
and an acknowledgement (`agreed.changes`); a lid does where a hand or the pit tells of it.
"""

from . import interlocks as ask
from .lasting import Elapsed, Lasting, OfSixty
from .levels import Levels
from .limits import DAMPER_FLOOR, KEEP_DUTY, LOWEST_MARGIN_C
from .probes import Probes
from .twice import Twice

PUT_OUT = ("pit_over_limit", "stone_over_limit", "runaway", "grease_fire")


class Verdict:
    """`most_duty` 0..1, `damper` its widest opening (1: no say), `reasons` why it is less."""

    def __init__(self):
        self.most_duty = 0.0
        self.damper = 1.0
        self.reasons = []
        self.at_ms = None  # the step that it is of

    def begin(self):
        """A new step: no air until everything has been asked."""
        self.at_ms = None
        self.most_duty = 0.0
        self.damper = 1.0
        self.reasons.clear()

    def less(self, most_duty, damper, reason):
        """Allow no more than this, for that reason."""
        self.most_duty = min(self.most_duty, most_duty)
        self.damper = min(self.damper, damper)
        self.reasons.append(reason)

    def of(self, now_ms, air):
        """What is left of `air`; nothing when this is no word on the step of `now_ms`."""
        return min(air, self.most_duty) if self.at_ms == now_ms else 0.0

    def under(self, opening):
        """What is left of the damper's `opening` (None: untouched, unless there is a say)."""
        if opening is None:
            return self.damper if self.damper < 1.0 else None
        return min(opening, self.damper)


class Over:
    """One probe against its limit: two samples in a row, or six of sixty."""

    def __init__(self, name):
        self.name = name
        self._row = Lasting()
        self._often = OfSixty()

    def step(self, value_c, limit_c):
        """Take a sample (degC or None); return whether it is a trip."""
        over = value_c is not None and ask.at_or_over(value_c, limit_c)
        return ask.over_limit(self._row.step(over, 1), self._often.step(over))


class Guard:
    """Few states, one timer type; `verdict` is the object that each tick writes anew."""

    def __init__(self, book):
        self.book = book
        self.verdict = Verdict()
        self.levels = Levels()
        self.probes = Probes()
        self.limit_c = None  # the pit's trip limit in force
        self.lowest_c = None  # the lowest calm mean since the order, from the last one before it
        self.kept = Twice(self, ("lowest_c",))
        self._pit, self._stone = Over("pit_over_limit"), Over("stone_over_limit")
        self._shut = Lasting(ask.ARM_S)
        self._run, self._still, self._near = Lasting(), Lasting(), Lasting()
        self._reached = False  # this hold, once
        self._full, self._unanswered, self._weak = Lasting(), Lasting(), Lasting()
        self._stalled, self._low, self._back = Lasting(), Lasting(), Lasting()
        self._low_c = self._from_c = self._weak_c = 0.0
        self._held_back = False
        self._mode = "off"
        self._target_c = None
        self._changes = 0
        self._elapsed = Elapsed()

    def tick(self, now_ms, samples, commanded, agreed):
        """Judge one step: what was measured, the law's wish, what is agreed."""
        word = self.verdict
        word.begin()
        dt_s = self._elapsed.step(now_ms)
        if dt_s > 0.0:
            self._memory(agreed, now_ms)
            self._measure(samples, commanded, agreed, dt_s)
            self._sensor(samples.pit, agreed, now_ms)
            self._limits(samples, agreed, now_ms)
            self._parts(samples, dt_s, now_ms)
            self._fire(samples, commanded, agreed, dt_s, now_ms)
            self._speak(word, samples, agreed)
        word.at_ms = now_ms
        return word

    # ------------------------------------------------------------------ what is there

    def _memory(self, agreed, now_ms):
        """Before anything is written anew; never over while this start lasts."""
        if agreed.kept.changed() or self.kept.changed():
            self.book.put("memory_bad", "trip", None, None, now_ms)

    def _measure(self, samples, commanded, agreed, dt_s):
        full = ask.asks_for_heat(commanded.duty) and not (self.book.stops() or agreed.lid_told)
        self.probes.step(samples, commanded.duty, self._full.step(full, dt_s), dt_s)
        calm = self.levels.step(samples.pit.value_c, not samples.lifted, dt_s)
        self._shut.step(not samples.lifted, dt_s)
        self._run.step(agreed.mode == self._mode, dt_s)
        # What keeps the air away by an order from afar begins no wait anew: the clocks stand.
        self._held_back = agreed.waits_for_vent() or (agreed.lid_told and not samples.lifted)
        self._still.step(samples.drive <= 0.0, dt_s)
        if agreed.changes != self._changes:
            self._changes = agreed.changes
            self._unanswered.s = self._weak.s = 0.0
        self._lowest(agreed)
        if calm and (self.lowest_c is None or self.levels.calm_c < self.lowest_c):
            self.kept.put("lowest_c", self.levels.calm_c)

    def _lowest(self, agreed):
        """Another mode begins at the last calm mean; another target never above the one before."""
        calm_c, other = self.levels.calm_c, agreed.target_c != self._target_c
        if agreed.mode != self._mode:
            self._mode, self._reached = agreed.mode, False
            self.kept.put("lowest_c", calm_c)
        elif other and agreed.mode == "hold" and self.lowest_c is not None:
            self.kept.put("lowest_c", min(max(self.lowest_c, self._target_c), calm_c))
        self._target_c = agreed.target_c

    # ------------------------------------------------------------------ what stops the air

    def _sensor(self, pit, agreed, now_ms):
        if pit.fault and agreed.mode != "off":
            self.book.put("pit_sensor", "pause", None, None, now_ms)
        elif not pit.fault:
            self.book.over("pit_sensor")

    def _limits(self, samples, agreed, now_ms):
        self.limit_c = self._pit_limit(agreed)
        for over, value_c, limit_c in (
            (self._pit, samples.pit.raw_c, self.limit_c),
            (self._stone, samples.stone.raw_c, agreed.stone_limit_c),
        ):
            self._say(over.name, "trip", over.step(value_c, limit_c), value_c, limit_c, now_ms)

    def _pit_limit(self, agreed):
        """In a hold it comes down with the pit, and goes up with the target alone."""
        if agreed.mode == "drive":
            return agreed.drive_limit_c
        if agreed.mode != "hold":
            return agreed.pit_limit_c
        if self.lowest_c is None:
            return agreed.pit_limit_c
        high_c = self.lowest_c + LOWEST_MARGIN_C
        return min(agreed.pit_limit_c, max(agreed.target_c + agreed.hold_margin_c, high_c))

    def _parts(self, samples, dt_s, now_ms):
        inputs, say = samples.inputs, self._say
        if inputs.tach_rpm is not None:
            stands = ask.blower_stands(samples.drive, inputs.tach_rpm)
            if self._held_back and not ask.blower_driven(samples.drive):
                stands = None
            stalled = ask.blower_stalled(self._stalled.step(stands, dt_s))
            say("blower_fault", "trip", stalled, inputs.tach_rpm, None, now_ms)
        if inputs.board_c is not None:
            hot = ask.board_hot(inputs.board_c)
            if hot or ask.board_cool(inputs.board_c):
                say("board_hot", "pause", hot, inputs.board_c, None, now_ms)
        if inputs.supply_v is not None:
            low = ask.supply_low(self._low.step(ask.supply_sags(inputs.supply_v), dt_s))
            back = ask.supply_back(self._back.step(ask.supply_well(inputs.supply_v), dt_s))
            if low or back:
                say("supply_low", "pause", low, inputs.supply_v, ask.SUPPLY_LOW_V, now_ms)

    def _fire(self, samples, commanded, agreed, dt_s, now_ms):
        levels = self.levels
        if agreed.mode not in ("hold", "drive") or levels.quick_c is None:
            self._unanswered.s = self._weak.s = 0.0
            return
        grease = ask.grease_fire(levels.quick_c, levels.slow_c, levels.calm.s)
        self._once("grease_fire", grease, levels.quick_c, levels.slow_c, now_ms)
        if agreed.mode == "hold":
            self._runaway(agreed.target_c, dt_s, now_ms)
        lost = self._no_answer(commanded, dt_s) or self._is_lost(dt_s)
        self._once("not_answering", lost, levels.slow_c, self._low_c, now_ms)

    def _runaway(self, target_c, dt_s, now_ms):
        """In a hold that was reached once: an arrival may overshoot, up to the limit."""
        pit_c = self.levels.quick_c
        near_s = self._near.step(ask.near(pit_c - target_c), dt_s)
        self._reached = self._reached or ask.reached(near_s)
        over_c, up_c = pit_c - target_c, pit_c - (self.lowest_c or 0.0)
        rises = ask.still_rises(up_c, self.levels.rise_c(), self._shut.s)
        wild = rises and ask.runaway(over_c, self._still.s)
        self._once("runaway", wild and self._reached, over_c, ask.RUNAWAY_OVER_C, now_ms)

    def _no_answer(self, commanded, dt_s):
        """Full air must lift the pit from its lowest."""
        pit_c = self.levels.slow_c
        waits = ask.asks_for_heat(commanded.duty) and not self.book.stops()
        if not ask.armed(self._shut.s, self._run.s):
            waits = False
        elif not waits and self._held_back:
            waits = None
        if self._unanswered.s <= 0.0 or ask.answers(pit_c, self._low_c):
            self._unanswered.s = 0.0
            self._low_c = self._from_c = pit_c
        self._low_c = min(self._low_c, pit_c)
        return ask.not_answering(self._unanswered.step(waits, dt_s), pit_c, self._from_c)

    def _is_lost(self, dt_s):
        """The second sign after the notice that rests on a model: the pit itself falls on."""
        notice = self.book.alerts.get("fuel_out")
        weak = notice is not None and notice.active and not self.book.stops()
        if self._weak.s <= 0.0:
            self._weak_c = self.levels.slow_c
        fallen_c = self._weak_c - self.levels.slow_c
        return ask.fire_is_lost(self._weak.step(weak, dt_s), fallen_c, self.levels.rise_c())

    # ------------------------------------------------------------------ the word

    def _say(self, name, kind, wrong, value, limit, now_ms):
        if wrong:
            self.book.put(name, kind, value, limit, now_ms)
        else:
            self.book.over(name)

    def _once(self, name, wrong, value, limit, now_ms):
        """What is said of the past: over as soon as it has been said, and latched."""
        if wrong:
            self.book.put(name, "trip", value, limit, now_ms)
            self.book.over(name)

    def _speak(self, word, samples, agreed):
        word.most_duty = 1.0
        if agreed.mode not in ("hold", "drive"):
            word.less(0.0, 1.0, agreed.mode)
        if samples.lifted or agreed.lid_told:
            pulse = ask.lid_pulse(samples.open_s) and not agreed.lid_told
            word.less(KEEP_DUTY if pulse else 0.0, 1.0, "lid")
        if samples.pit.raw_c is not None and ask.at_or_over(
            samples.pit.raw_c, self._most_c(agreed)
        ):
            word.less(0.0, DAMPER_FLOOR, "too_hot")
        for name, alert in self.book.alerts.items():
            if alert.stops():
                word.less(0.0, 0.0 if name in PUT_OUT else DAMPER_FLOOR, name)
        if agreed.mode == "off":
            word.damper = 1.0  # nobody asked for anything: it stays where it is

    def _most_c(self, agreed):
        """From here on there is no air, and no trip yet: it may come down by itself."""
        if agreed.mode != "hold":
            return self.limit_c
        return min(agreed.target_c + agreed.hold_margin_c, self.limit_c)
