"""What the board does and why, as one plain sentence and a second with the figures. Words: docs/reference/words.md.

The clause about the air comes from the control terms and the board's own word (`why`), never from the sign of the gap:
"0.4 over and giving more air" is possible, and then the second sentence says why.
"""

from __future__ import annotations

import time
from typing import Any

from emberdraft.quantities import difference_c_to_f, say_difference, say_number, say_temperature
from emberdraft.said import Text, first_lower, said

Row = dict[str, Any]

ON_IT_C = 0.3
STEADY_C_PER_MIN = 0.15
CHANGED_DUTY = 0.02
LONG_WAY_C = 15.0
THERE_C = 3.0

AIR = {
    "steady": "leaving the air as it is",
    "more_air": "giving more air",
    "less_air": "easing off",
    "no_air": "the blower is off",
    "floor": "the least air that keeps the fire",
    "coast": "held back so as not to pass it",
    "full_air": "all air",
    "relay": "a relay test, the air up and down by a tenth",
}

LID = {
    "lid": "Shut it and say so, and it goes on.",
    "lid_there": "Shut it and hold its button for two seconds, or say here, at the cooker, that it is shut.",
    "lid_felt": "The pit fell as under a lifted lid. It goes on by itself when the pit rises again.",
}


class Facts:
    """What the sentences are made of: the last reading, rates in degC a minute, the air ten minutes ago."""

    def __init__(
        self,
        row: Row,
        *,
        pit_rate: float | None = None,
        stone_rate: float | None = None,
        duty_before: float | None = None,
        limit_c: float | None = None,
        alarm: Row | None = None,
        unit: str = "c",
        by_hand_c: float | None = None,
        lit: bool = True,
    ) -> None:
        """`by_hand_c`: what is wanted where no blower is fitted, of the stone in climb and sear, else of the pit."""
        self.lit = lit
        self.row = row
        self.by_hand_c = by_hand_c
        self.pit_rate = pit_rate
        self.stone_rate = stone_rate
        self.duty_before = duty_before
        self.limit_c = limit_c
        self.alarm = alarm
        self.unit = unit


def clock(at_s: float) -> str:
    """'17:48', in the host's time zone."""
    return time.strftime("%H:%M", time.localtime(at_s))


def no_word(heard_at_s: float | None) -> tuple[str, str]:
    """The sentences without a present reading."""
    if heard_at_s is None:
        return "The board has not been heard yet.", "Look at its light; check its power and the Wi-Fi."
    return (
        f"No word from the board since {clock(heard_at_s)}. It goes on alone with its last order.",
        "Numbers here are old. Look at its light; check its power and the Wi-Fi.",
    )


def say(facts: Facts) -> tuple[Text, Text]:
    """The plain sentence, and the one with the figures."""
    row, mode = facts.row, facts.row["mode"]
    if row["why"] in ("tripped", "paused", "wait_sensor"):
        return _stopped(facts)
    if mode == "off" and facts.by_hand_c is not None:
        return _by_hand(facts, facts.by_hand_c)
    if mode == "off":
        fire = "The fire burns on what the vents let in." if facts.lit else "Nothing is lit yet."
        return f"Off: no air from the board. {fire}", _at(facts)
    if mode == "bank":
        return f"Starving the fire: air shut, {_pit(facts)}, {_way(facts, facts.pit_rate)}.", "Do not open it."
    if row["lid_open"]:
        return "Waiting for the lid: the blower is off while it is open.", LID.get(row["why"], LID["lid"])
    return _drive(facts) if mode == "drive" else _hold(facts)


# ---- hold


def _hold(facts: Facts) -> tuple[str, str]:
    row, target_c, pit_c = facts.row, facts.row["target_c"], facts.row["pit_c"]
    if target_c is None or pit_c is None:
        return "Holding.", _at(facts)
    gap_c, target = pit_c - target_c, say_temperature(target_c, facts.unit)
    air = AIR.get(row["why"], AIR["steady"])
    if abs(gap_c) < ON_IT_C and abs(facts.pit_rate or 0.0) < STEADY_C_PER_MIN:
        return f"Holding {target}: on it, steady, {air}.", _air_figures(facts)
    way = _way(facts, facts.pit_rate)
    if row["phase"] == "light" and gap_c < -LONG_WAY_C:
        return f"Coming up to {target}: {_gap(facts, gap_c)} to go, {way}, {air}.", _air_figures(facts)
    side = "over" if gap_c > 0.0 else "under"
    return f"Holding {target}: {_gap(facts, gap_c)} {side}, {way}, {air}.", _air_figures(facts)


def _air_figures(facts: Facts) -> str:
    row, before = facts.row, facts.duty_before
    now = f"Blower {say_number(100.0 * row['duty'])}\u00a0%"
    if before is None or abs(row["duty"] - before) < CHANGED_DUTY:
        return f"{now}{_reason(facts)}."
    word = "up" if row["duty"] > before else "down"
    return f"{now}, {word} from {say_number(100.0 * before)}\u00a0% ten minutes ago{_reason(facts)}."


def _reason(facts: Facts) -> str:
    """Why the air is what it is, from the largest of the terms that push it away from the holding air."""
    row = facts.row
    if row["why"] == "coast":
        return ": heat that is on its way comes by itself"
    if row["why"] == "full_air":
        return ": it is still far from the target"
    push = {"p": row.get("p") or 0.0, "d": row.get("d") or 0.0, "ff": row.get("ff") or 0.0}
    name = max(push, key=lambda key: abs(push[key]))
    if abs(push[name]) < CHANGED_DUTY:
        return ": what this fire needs to hold" if row.get("i") else ""
    return _REASONS[(name, push[name] > 0.0)]


_REASONS = {
    ("p", True): ": more because the pit is under what is wanted now",
    ("p", False): ": less because the pit is over what is wanted now",
    ("d", True): ": more because the pit is falling",
    ("d", False): ": less because the pit is already rising",
    ("ff", True): ": more because the wanted temperature goes up",
    ("ff", False): ": less because the wanted temperature goes down",
}


# ---- by hand


def _by_hand(facts: Facts, wanted_c: float) -> tuple[str, str]:
    row, wanted = facts.row, say_temperature(wanted_c, facts.unit)
    if row["lid_open"]:
        return "By hand: the lid is open.", "Shut it and say so: the vent coach waits for it."
    stone = row["phase"] in ("climb", "sear")
    value_c, rate = (row["stone_c"], facts.stone_rate) if stone else (row["pit_c"], facts.pit_rate)
    if value_c is None:
        return f"By hand to {wanted}: no reading of the {'stone' if stone else 'pit'}.", _at(facts)
    gap_c = value_c - wanted_c
    if stone or gap_c < -LONG_WAY_C:
        togo = f"{_gap(facts, gap_c)} {'to go' if gap_c < 0.0 else 'over'}"
        return f"By hand to {wanted}: {togo}, {_way(facts, rate)}.", f"The vents are the air. {_at(facts)}"
    side = "over" if gap_c > 0.0 else "under"
    return f"Held by hand at {wanted}: {_gap(facts, gap_c)} {side}, {_way(facts, rate)}.", "The vents are the air."


# ---- drive


def _drive(facts: Facts) -> tuple[str, str]:
    row, target_c, stone_c = facts.row, facts.row["target_c"], facts.row["stone_c"]
    if row["why"] == "drive_over":
        return "The climb has run its time: the blower is off until you decide.", _at(facts)
    if target_c is None or stone_c is None:
        return "Driving the stone; it has no reading.", _at(facts)
    gap_c, target = target_c - stone_c, say_temperature(target_c, facts.unit)
    way = _way(facts, facts.stone_rate)
    if abs(gap_c) <= THERE_C:
        return f"The stone is there, at {target}: {way}, {_with_air(facts)}.", _drive_figures(facts)
    togo = f"{_gap(facts, gap_c)} {'to go' if gap_c > 0.0 else 'over'}"
    return f"Driving the stone to {target} {_with_air(facts)}: {togo}, {way}.", _drive_figures(facts)


def _with_air(facts: Facts) -> str:
    why = facts.row["why"]
    if why == "drive_pit_limit":
        limit = "" if facts.limit_c is None else f" of {say_temperature(facts.limit_c, facts.unit)}"
        return f"held back by the pit limit{limit}"
    if why == "drive_wait_vent":
        return "with little air until the top vent is open"
    if why == "drive_cut":
        return "with less air, so as not to pass it"
    return "with all air"


def _drive_figures(facts: Facts) -> str:
    row = facts.row
    pit = "" if row["pit_c"] is None else f" The pit is at {say_temperature(row['pit_c'], facts.unit)}"
    limit = "" if facts.limit_c is None or not pit else f"; it may go to {say_temperature(facts.limit_c, facts.unit)}"
    return f"Blower {say_number(100.0 * row['duty'])}\u00a0%.{pit}{limit}{'.' if pit else ''}"


# ---- stopped


def _stopped(facts: Facts) -> tuple[Text, Text]:
    alarm = facts.alarm
    if alarm is None:
        if facts.row["why"] == "wait_sensor":
            return "Waiting for the pit probe: no air until it reads.", "Check its plug."
        return "Stopped the blower.", _at(facts)
    parts = {"cause": first_lower(alarm["cause"]), "since": clock(float(alarm["at_s"])), "deed": alarm["action"]}
    first = said("Stopped the blower: {cause}, since {since}. {deed}.", **parts)
    return first, said("{what}.", what=alarm["consequence"])


# ---- words


def _at(facts: Facts) -> str:
    pit_c = facts.row["pit_c"]
    return "The pit has no reading." if pit_c is None else f"The pit is at {say_temperature(pit_c, facts.unit)}."


def _pit(facts: Facts) -> str:
    pit_c = facts.row["pit_c"]
    return "no reading of the pit" if pit_c is None else say_temperature(pit_c, facts.unit)


def _gap(facts: Facts, gap_c: float) -> str:
    digits = 0 if abs(gap_c) >= 10.0 else 1
    return say_difference(abs(gap_c), facts.unit, digits)


def _way(facts: Facts, rate: float | None) -> str:
    """'rising 0.3 a minute', 'falling ...', 'steady'."""
    if rate is None or abs(rate) < STEADY_C_PER_MIN:
        return "steady"
    shown = difference_c_to_f(rate) if facts.unit == "f" else rate
    return f"{'rising' if rate > 0.0 else 'falling'} {say_number(abs(shown), 1)} a minute"
