"""What the board does and why, as one plain sentence and a second with the figures. Words: docs/reference/words.md.

The clauses about the air are those of air_change.py, never from the sign of the gap: "0.4 over, more air than ten
minutes ago" is possible, and then the second sentence says why.
"""

from __future__ import annotations

import time
from typing import Any

from emberdraft.daemon.air_change import ALL_AIR_DUTY, LONG_WAY_C, STEADY_C_PER_MIN, Air, air_figures, air_words
from emberdraft.quantities import say_share
from emberdraft.said import Difference, Temperature, Text, first_lower, joined, said

Row = dict[str, Any]

ON_IT_C = 0.3
THERE_C = 3.0

LID = {
    "lid": "Shut it and say so, and it goes on.",
    "lid_there": "Shut it and hold its button for two seconds, or say here, at the cooker, that it is shut.",
    "lid_felt": "The pit fell as under a lifted lid. It goes on by itself when the pit rises again.",
}


class Facts:
    """What the sentences are made of: the last reading, rates in degC a minute, the reading of ten minutes ago."""

    def __init__(
        self,
        row: Row,
        *,
        pit_rate: float | None = None,
        stone_rate: float | None = None,
        before: Row | None = None,
        limit_c: float | None = None,
        alarm: Row | None = None,
        by_hand_c: float | None = None,
        lit: bool = True,
    ) -> None:
        """`by_hand_c`: what is wanted where no blower is fitted, of the stone in climb and sear, else of the pit."""
        self.lit = lit
        self.row = row
        self.by_hand_c = by_hand_c
        self.pit_rate = pit_rate
        self.stone_rate = stone_rate
        self.before = before
        self.limit_c = limit_c
        self.alarm = alarm


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
    if row["why"] in ("tripped", "paused", "wait_sensor") or (facts.by_hand_c is not None and facts.alarm is not None):
        return _stopped(facts)
    if mode == "off" and facts.by_hand_c is not None:
        return _by_hand(facts, facts.by_hand_c)
    if mode == "off":
        fire = "The fire burns on what the vents let in." if facts.lit else "Nothing is lit yet."
        return f"Off: no air from the board. {fire}", _at(facts)
    if mode == "bank":
        first = said("Starving the fire: air shut, {pit}, {way}.", pit=_pit(facts), way=_way(facts.pit_rate))
        return first, "Do not open it."
    if row["lid_open"]:
        air = "is off" if row["duty"] <= 0.0 else "only keeps the fire"
        return f"Waiting for the lid: the blower {air} while it is open.", LID.get(row["why"], LID["lid"])
    return _drive(facts) if mode == "drive" else _hold(facts)


# ---- hold


def _hold(facts: Facts) -> tuple[Text, Text]:
    row, target_c, pit_c = facts.row, facts.row["target_c"], facts.row["pit_c"]
    if target_c is None or pit_c is None:
        return "Holding.", _at(facts)
    gap_c, air = pit_c - target_c, Air(row, facts.before, facts.pit_rate)
    of = {"target": Temperature(target_c), "way": _way(facts.pit_rate), "air": air_words(air)}
    if row["phase"] == "light" and gap_c < -LONG_WAY_C:
        return said("Coming up to {target}: {gap} to go, {way}, {air}.", gap=_gap(gap_c), **of), air_figures(air)
    return said("Holding {target}: {off}, {way}, {air}.", off=_off_by(gap_c), **of), air_figures(air)


# ---- by hand


def _by_hand(facts: Facts, wanted_c: float) -> tuple[Text, Text]:
    row, wanted = facts.row, Temperature(wanted_c)
    if row["lid_open"]:
        return "By hand: the lid is open.", "Shut it and say so: the vent coach waits for it."
    what, rate = ("stone", facts.stone_rate) if row["phase"] in ("climb", "sear") else ("pit", facts.pit_rate)
    value_c = row[f"{what}_c"]
    if value_c is None:
        return said("By hand to {wanted}: no reading of the {what}.", wanted=wanted, what=what), _at(facts)
    gap_c = value_c - wanted_c
    if what == "stone" or gap_c < -LONG_WAY_C:
        first = said("By hand to {wanted}: {togo}, {way}.", wanted=wanted, togo=_to_go(-gap_c), way=_way(rate))
        return first, joined(" ", ("The vents are the air.", _at(facts)))
    first = said("Held by hand at {wanted}: {off}, {way}.", wanted=wanted, off=_off_by(gap_c), way=_way(rate))
    return first, "The vents are the air."


# ---- drive


def _drive(facts: Facts) -> tuple[Text, Text]:
    row, target_c, stone_c = facts.row, facts.row["target_c"], facts.row["stone_c"]
    if row["why"] == "drive_over":
        return "The climb has run its time: the blower is off until you decide.", _at(facts)
    if target_c is None or stone_c is None:
        return "Driving the stone; it has no reading.", _at(facts)
    gap_c = target_c - stone_c
    of = {"target": Temperature(target_c), "way": _way(facts.stone_rate), "air": _with_air(facts)}
    if abs(gap_c) <= THERE_C:
        return said("The stone is there, at {target}: {way}, {air}.", **of), _drive_figures(facts)
    first = said("Driving the stone to {target} {air}: {togo}, {way}.", togo=_to_go(gap_c), **of)
    return first, _drive_figures(facts)


def _with_air(facts: Facts) -> Text:
    why = facts.row["why"]
    if why == "drive_pit_limit" and facts.limit_c is not None:
        return said("held back by the pit limit of {limit}", limit=Temperature(facts.limit_c))
    if why == "drive_pit_limit":
        return "held back by the pit limit"
    if why == "drive_wait_vent":
        return "with little air until the top vent is open"
    duty = facts.row["duty"]
    return "with all air" if duty >= ALL_AIR_DUTY else f"with {say_share(duty)} air"


def _drive_figures(facts: Facts) -> Text:
    row, air = facts.row, f"Blower {say_share(facts.row['duty'])}."
    if row["pit_c"] is None:
        return air
    limit = "" if facts.limit_c is None else said("; it may go to {limit}", limit=Temperature(facts.limit_c))
    return said("{air} The pit is at {pit}{limit}.", air=air, pit=Temperature(row["pit_c"]), limit=limit)


# ---- stopped


def _stopped(facts: Facts) -> tuple[Text, Text]:
    alarm = facts.alarm
    if alarm is None:
        if facts.row["why"] == "wait_sensor":
            return "Waiting for the pit probe: no air until it reads.", "Check its plug."
        return "Stopped the blower.", _at(facts)
    parts = {"cause": first_lower(alarm["cause"]), "since": clock(float(alarm["at_s"])), "deed": alarm["action"]}
    stopped = (
        "Stopped the blower" if facts.by_hand_c is None else "By hand"
    )  # where none is fitted there is none to stop
    first = said("{stopped}: {cause}, since {since}. {deed}.", stopped=stopped, **parts)
    return first, said("{what}.", what=alarm["consequence"])


# ---- words


def _at(facts: Facts) -> Text:
    pit_c = facts.row["pit_c"]
    return "The pit has no reading." if pit_c is None else said("The pit is at {pit}.", pit=Temperature(pit_c))


def _pit(facts: Facts) -> Text:
    pit_c = facts.row["pit_c"]
    return "no reading of the pit" if pit_c is None else said("{pit}", pit=Temperature(pit_c))


def _gap(gap_c: float) -> Difference:
    return Difference(abs(gap_c), 0 if abs(gap_c) >= 10.0 else 1)


def _to_go(gap_c: float) -> Text:
    return said("{gap} {side}", gap=_gap(gap_c), side="to go" if gap_c > 0.0 else "over")


def _off_by(gap_c: float) -> Text:
    if abs(gap_c) < ON_IT_C:
        return "on it"
    return said("{gap} {side}", gap=_gap(gap_c), side="over" if gap_c > 0.0 else "under")


def _way(rate: float | None) -> Text:
    """'rising 0.3 a minute', 'falling ...', 'steady'."""
    if rate is None:
        return "its pace not known yet"
    if abs(rate) < STEADY_C_PER_MIN:
        return "steady"
    pace = Difference(abs(rate), bare=True)
    return said("{turn} {pace} a minute", turn="rising" if rate > 0.0 else "falling", pace=pace)
