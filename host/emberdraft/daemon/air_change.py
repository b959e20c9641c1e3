"""How the air of a hold differs from ten minutes ago, and why: both come from the same two readings.

A cause is named only where the law's terms say so *and* the readings that a person sees moved that way between the two;
where nothing explains half of the change, only the figures are said.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from emberdraft.quantities import say_share
from emberdraft.said import Difference, Temperature, Text, joined, said

Row = dict[str, Any]

SPAN_S = 600.0
CHANGED_DUTY = 0.02
MOVED_C = 0.3
STEADY_C_PER_MIN = 0.15
LONG_WAY_C = 15.0
EXPLAINS_SHARE = 0.5
ALL_AIR_DUTY = 0.98
TERMS = ("p", "i", "d", "ff")


class Air(NamedTuple):
    """The reading of now, that of ten minutes ago (None: there is none), and the pit's pace, degC a minute."""

    now: Row
    then: Row | None
    pit_rate: float | None = None

    def gap_c(self) -> float:
        """How far the pit is over what is wanted."""
        return float(self.now["pit_c"] - self.now["target_c"])

    def paces(self) -> int:
        """1 rising, -1 falling, 0 steady: as the sentence says it."""
        rate = self.pit_rate or 0.0
        return 0 if abs(rate) < STEADY_C_PER_MIN else 1 if rate > 0.0 else -1


def way_of(now_duty: float, then_duty: float) -> int:
    """1 more air, -1 less, 0 about the same."""
    step = now_duty - then_duty
    return 0 if abs(step) < CHANGED_DUTY else 1 if step > 0.0 else -1


def air_words(air: Air) -> str:
    """The clause about the air: the board's own word where its readings bear it out, else the comparison."""
    if air.now["duty"] <= 0.0:
        return "the blower is off"
    special = _OWN_WORDS.get(air.now["why"])
    if special is not None and special[0](air):
        return special[1]
    if air.then is None:
        return f"air {say_share(air.now['duty'])}"
    way = way_of(air.now["duty"], air.then["duty"])
    return ("as much air as ten minutes ago", "more air than ten minutes ago", "less air than ten minutes ago")[way]


def air_figures(air: Air) -> Text:
    """The air in figures, then and now, and the cause of the difference where one can be named."""
    return said("Blower {duty}{compared}.", duty=say_share(air.now["duty"]), compared=_compared(air))


def _compared(air: Air) -> Text:
    then, now = air.then, air.now
    if then is None or now["why"] == "relay":
        return ""
    way = way_of(now["duty"], then["duty"])
    if way == 0:
        needs = abs(now["duty"] - (now.get("i") or 0.0)) < CHANGED_DUTY and then["mode"] == "hold"
        return ": what this fire needs to hold" if needs else ""
    change = f", {'up' if way > 0 else 'down'} from {say_share(then['duty'])} ten minutes ago"
    return joined(": ", (change, _was_otherwise(air, then) or _of_the_terms(air, then, way)))


def _was_otherwise(air: Air, then: Row) -> Text:
    """Ten minutes ago the board did something else, or held another temperature."""
    if then["lid_open"]:
        return "the lid was open then"
    if then["mode"] != "hold" or then["why"] in _STOPPED:
        return _OTHER_MODE.get(then["mode"], "the blower was stopped then")
    if then["target_c"] is not None and abs(then["target_c"] - air.now["target_c"]) >= MOVED_C:
        return said("{target} was wanted then", target=Temperature(then["target_c"]))
    return ""


_STOPPED = ("paused", "tripped", "wait_sensor")
_OTHER_MODE = {"drive": "the stone was driven then", "off": "the board was off then", "bank": "the air was shut then"}


def _of_the_terms(air: Air, then: Row, way: int) -> Text:
    """The term of the law that changed most this way, if that is half of it and its cause is seen in the readings."""
    step = abs(air.now["duty"] - then["duty"])
    pushed = {name: way * ((air.now.get(name) or 0.0) - (then.get(name) or 0.0)) for name in TERMS}
    for name in sorted(TERMS, key=lambda name: -pushed[name]):
        cause = _CAUSES[name](air, then, way) if pushed[name] >= EXPLAINS_SHARE * step else ""
        if cause:
            return said("{change} because {cause}", change="more" if way > 0 else "less", cause=cause)
    return ""


def _pit_moved(air: Air, then: Row, way: int) -> Text:
    if then["pit_c"] is None or way * (then["pit_c"] - air.now["pit_c"]) < MOVED_C:
        return ""
    moved, side = Difference(abs(then["pit_c"] - air.now["pit_c"])), "lower" if way > 0 else "higher"
    return said("the pit is {moved} {side} than then", moved=moved, side=side)


def _pit_paces(air: Air, _then: Row, way: int) -> str:
    return f"the pit is {'falling' if way > 0 else 'rising'}" if air.paces() == -way else ""


def _fire_moved(air: Air, then: Row, way: int) -> str:
    """The board's estimate of the fire, in the air it would burn on."""
    moved = (air.now.get("fire") or 0.0) - (then.get("fire") or 0.0)
    return f"the fire is {'smaller' if way > 0 else 'bigger'} than then" if way * moved <= -CHANGED_DUTY else ""


def _needs_moved(_air: Air, _then: Row, way: int) -> str:
    return f"holding takes {'more' if way > 0 else 'less'} than was reckoned then"


_CAUSES: dict[str, Callable[[Air, Row, int], Text]] = {
    "p": _pit_moved,
    "i": _needs_moved,
    "d": _pit_paces,
    "ff": _fire_moved,
}

_OWN_WORDS: dict[str, tuple[Callable[[Air], bool], str]] = {
    "floor": (lambda air: True, "the least air that keeps the fire"),
    "coast": (lambda air: air.gap_c() < 0.0 < air.paces(), "held back so as not to pass it"),
    "full_air": (lambda air: air.now["duty"] >= ALL_AIR_DUTY, "all air"),
    "relay": (lambda air: True, "a relay test, the air up and down by a tenth"),
}
