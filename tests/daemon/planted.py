"""Makes what a cook said false, one line at a time, to see that it is noticed."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple

from tests.daemon.shown import Line
from tests.daemon.truth import STOPS, Look


class Plant(NamedTuple):
    """In lines of these places, what matches becomes something else."""

    name: str
    places: tuple[str, ...]
    pattern: str
    false: Callable[[re.Match[str]], str]


def _more(by: float) -> Callable[[re.Match[str]], str]:
    """The number in the second group, with as many digits."""
    return lambda m: f"{m[1]}{float(m[2]) + by:.{len(m[2].partition('.')[2])}f}{m[3]}"


OTHER = {"rising": "falling", "falling": "rising", "up from": "down from", "down from": "up from"}
TURN: Callable[[re.Match[str]], str] = lambda m: OTHER[m[0]]  # noqa: E731
PLANTS = (
    Plant("another direction", ("sentence",), "rising|falling", TURN),
    Plant("another gap", ("sentence",), r"(: )(\d+(?:\.\d+)?)( °[CF] (?:over|under|to go))", _more(6.0)),
    Plant("another target", ("sentence",), r"(Holding |Held by hand at )(\d+)( )", _more(9.0)),
    Plant("another share", ("detail",), r"(Blower )(\d+)( %)", _more(9.0)),
    Plant("turned", ("detail",), "up from|down from", TURN),
    Plant(
        "a cause that is absent", ("detail",), "because .*", lambda _: "because the pit is 44.4 °C higher than then."
    ),
    Plant("another cause", ("detail",), "because .*", lambda _: "because the wanted temperature goes down."),
    Plant("no time", ("alarm", "asked"), r"((?:reached|was at) [\d.]+ °[CF]) at \d\d:\d\d", lambda m: m[1]),
    Plant("a value of then as of now", ("alarm", "asked"), r"(now )(\d+(?:\.\d+)?)( °[CF])", _more(7.0)),
    Plant("a value of now", ("detail", "asked"), r"([Tt]he (?:pit|stone) is at )(\d+(?:\.\d+)?)( °[CF])", _more(7.0)),
    Plant("a promise under a stop", ("detail",), r"\.$", lambda _: ". The stone is hot about 20:44."),
    Plant("the other unit", ("sentence", "detail"), "°[CF]", lambda m: "°F" if m[0] == "°C" else "°C"),
)


def falsified(look: Look) -> Iterator[tuple[str, Look]]:
    """Each falsehood that can be planted in this look, and the look with it."""
    for plant in PLANTS:
        for n, line in enumerate(look.lines):
            false = re.sub(plant.pattern, plant.false, line.text, count=1)
            if line.place.partition(" ")[0] in plant.places and false != line.text and _is_false(plant, look, line):
                lines = [*look.lines[:n], line._replace(text=false), *look.lines[n + 1 :]]
                yield plant.name, look._replace(lines=lines)
    if look.state["ledger"]:
        first, *rest = look.state["ledger"]
        if first["value"] is not None:
            state = look.state | {"ledger": [first | {"value": first["value"] + 3.0}, *rest]}
            yield "another value in the table", look._replace(state=state)


def _is_false(plant: Plant, look: Look, line: Line) -> bool:
    """Whether that line says something else now: a pace that is all but none may be told either way."""
    if look.age_s > 5.0 and plant.name not in ("no time", "the other unit"):
        return False
    if plant.name == "another direction":
        paces = look.series.paces("stone_c" if look.state["number"]["of"] == "stone" else "pit_c")
        return len(paces) > 3 and (min(paces) > 0.5 or max(paces) < -0.5)
    if plant.name == "a promise under a stop":
        return look.series.now["why"] in STOPS
    since_s = line.since_s or 0.0
    return plant.name != "no time" or look.state["now_s"] - since_s > 60.0
