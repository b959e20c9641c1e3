"""Changes of the safety code that no test notices, each with the reason why it may survive (see mutate.py)."""

from __future__ import annotations

_NO_SAY = "no verdict's damper is above 1.0, where it begins: less than that is all that `less` can make of it"
_NO_LOWEST = "a hold that was reached has been calm for ten minutes: the lowest is there after three"
_UP = "core/guard.py: over_c, up_c = pit_c - target_c, pit_c - (self.lowest_c or 0.0): "
_STEADY = "core/watch.py: self._steady_s = min(self._steady_s + dt_s, 2.0 * STEADY_S): "
_USUAL = "core/watch.py: self.usual += (see.asked - self.usual) * min(1.0, dt_s / USUAL_S): "

SURVIVORS: dict[str, str] = {
    "core/probes.py: self._rose = self._highest_c - self._start_c >= ask.REVERSED_C: GtE to Gt": (
        "a rise of exactly the bound is asked about again, and reversed_probe answers no to it by itself"
    ),
    "core/lasting.py: self._at = (self._at + 1) % SAMPLES: Add to Sub": (
        "a ring that is walked backward holds the same sixty"
    ),
    _STEADY + "2.0 to 2.2": "a bound of a sum that is asked only whether it has reached half of it",
    _STEADY + "2.0 to 1.8": "a bound of a sum that is asked only whether it has reached half of it",
    _USUAL + "1.0 to 1.1": "a step is at most 10 s long, so the share never comes near one",
    _USUAL + "1.0 to 0.9": "a step is at most 10 s long, so the share never comes near one",
    "core/noise.py: back = change_c * self._change_c < 0.0 and self.same_s == 0.0: Lt to LtE": (
        "equal only at the very first change, which is one step and so never enough"
    ),
    "core/reading.py: self.good = 0: 0 to 1": "the fault that it is asked after sets it to 0 first",
    "core/reading.py: self.good = 0: 0 to -1": "the fault that it is asked after sets it to 0 first",
    "app.py: self.link_rests_ms = 0: 0 to -1": "the board's clock is never under zero",
    "app.py: air = 0.0 if self.troubles else verdict.of(now_ms, outputs.duty): 0.0 to -1": (
        "it is asked only whether there is more than none"
    ),
    "core/watch.py: if see.target_c < before_c:: Lt to LtE": "the line before has let nothing through that is equal",
    "core/guard.py: word.less(0.0, 1.0, agreed.mode): 1.0 to 1.1": _NO_SAY,
    'core/guard.py: word.less(KEEP_DUTY if pulse else 0.0, 1.0, "lid"): 1.0 to 1.1': _NO_SAY,
    _UP + "0.0 to 1": _NO_LOWEST,
    _UP + "0.0 to -1": _NO_LOWEST,
    "core/guard.py: self._unanswered.s = self._weak.s = 0.0: 0.0 to -1": "what is not above zero is begun anew at once",
    "core/guard.py: if calm and (self.lowest_c is None or self.levels.calm_c < self.lowest_c):: Lt to LtE": (
        "the same number is put again"
    ),
}
