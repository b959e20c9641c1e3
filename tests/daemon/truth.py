"""Reads what the page says as a person does, beside the plain readings: what is said and is not so.

It shares no code with the making of sentences: the page's lines (shown.py) on one side, the board's rows (series.py) on
the other. Bounds are wider than the rounding of what is said, and narrower than what a cook would call another thing.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from tests.daemon import truth_air, truth_values
from tests.daemon.series import Series
from tests.daemon.shown import Line, Row, hhmm

STILL_PER_MIN = 0.05  # a said direction needs no more than that, either way; degC
STEADY_PER_MIN = 0.5
TURN_PER_MIN = 1.5
STOPS = ("tripped", "paused", "wait_sensor")
SILENT_S = 5.0
PACE = re.compile(r"\b(rising|falling) ([\d.]+) a minute")
PROMISE = re.compile(r"\babout \d\d:\d\d|on its way|probably \d\d:|nothing for you until")
BETWEEN = re.compile(r"about (\d\d):(\d\d), probably (\d\d):(\d\d) to (\d\d):(\d\d)")
SINCE = re.compile(r"\bsince (\d\d:\d\d)")
BROKEN = re.compile(r"\bNone\b|\bnan\b|[{}]|\.\.| ,|  ")
NOT_LIT = "Nothing is lit yet"


class Look(NamedTuple):
    """One look at the page: its lines, the state they came from, the rows so far, the browser's unit."""

    lines: list[Line]
    state: Row
    series: Series
    unit: str

    def text(self, place: str) -> str:
        """The line of this place, or ''."""
        return next((line.text for line in self.lines if line.place == place), "")

    @property
    def age_s(self) -> float:
        """How old the newest row is."""
        return float(self.state["now_s"] - self.series.now["at_s"])


def found(look: Look) -> list[str]:
    """Each thing that is said and is not so."""
    checks = (
        _directions,
        truth_air.air,
        truth_air.causes,
        truth_values.values,
        truth_values.old,
        _odds,
        _promises,
        _times,
    )
    return [one for check in checks for one in check(look)] + [
        f"broken: {line.text}" for line in look.lines if BROKEN.search(line.text) or _other_unit(look.unit) in line.text
    ]


def _other_unit(unit: str) -> str:
    return "°C" if unit == "f" else "°F"


# ---- directions


def _directions(look: Look) -> list[str]:
    if look.age_s > SILENT_S:
        return []
    sentence, series = look.text("sentence"), look.series
    stone = "stone" in sentence.lower() or look.state["number"].get("of") == "stone"
    paces = series.paces("stone_c" if stone else "pit_c")
    return [*_said_pace(sentence, paces, look.unit), *_said_steady(sentence, paces), *_arrows(look), *_cooling(look)]


def against(told: float, paces: list[float]) -> bool:
    """Whether none of the paces goes that way, or it is more than twice the quickest; degC a minute.

    At a turn, where the last half minute is next to nothing beside the longer ones, it may be said to go either way.
    """
    if not paces or (abs(told) < TURN_PER_MIN and abs(paces[0]) < 0.2 * max(abs(pace) for pace in paces)):
        return False
    still = STILL_PER_MIN if len(paces) > 3 else STEADY_PER_MIN * 3.0  # after a gap the long ones are not known
    none = all(told * pace < 0.0 and abs(pace) > still for pace in paces)
    quickest = max(abs(pace) for pace in paces)
    return none or (len(paces) > 1 and abs(told) > 2.0 * quickest + 1.5)  # in the first half minute there is but one


def _said_pace(sentence: str, paces: list[float], unit: str) -> list[str]:
    said = PACE.search(sentence)
    if said is None:
        return []
    told = float(said[2]) / (1.8 if unit == "f" else 1.0) * (1.0 if said[1] == "rising" else -1.0)
    return [f"direction: {sentence} (paces {paces})"] if against(told, paces) else []


def _said_steady(sentence: str, paces: list[float]) -> list[str]:
    moves = paces and abs(paces[0]) > 3.0 * STEADY_PER_MIN
    moves = moves and (min(paces) > STEADY_PER_MIN or max(paces) < -STEADY_PER_MIN)
    return [f"direction: {sentence} (paces {paces})"] if moves and "steady" in sentence else []


def _arrows(look: Look) -> list[str]:
    """The signs in the table of values."""
    wrong = []
    for row in look.state["ledger"]:
        key, index = truth_values.column(row["key"])
        paces = look.series.paces(key, index) if key in truth_values.HEAT else []
        said = row.get("per_min")
        if said is not None and abs(said) >= STEADY_PER_MIN and against(said, paces):
            wrong.append(f"direction: {row['key']} {said} a minute (paces {paces})")
    return wrong


def _cooling(look: Look) -> list[str]:
    paces = look.series.paces("stone_c")
    cools = [line.text for line in look.lines if "It cools" in line.text and "asked" in line.place]
    return [f"direction: {text} (paces {paces})" for text in cools if paces and min(paces) > STILL_PER_MIN]


# ---- two statements at odds

PAIRS = (
    ("falling", "is rising"), ("falling", "already rising"), ("rising", "is falling"), ("as it is", "from"),
    ("as much air", ", up from"), ("as much air", ", down from"), ("more air than", ", down from"),
    ("less air than", ", up from"), ("easing off", ", up from"), ("giving more", ", down from"),
)  # fmt: skip
MODE = {
    "Driving the stone": "drive", "The stone is there": "drive", "Starving the fire": "bank", "Holding": "hold",
    "Coming up to": "hold", "Off: no air": "off",
}  # fmt: skip


def _odds(look: Look) -> list[str]:
    """Two statements that cannot both be so."""
    return [*_inside(look), *_with_the_board(look), *_with_the_record(look)]


def _inside(look: Look) -> list[str]:
    sentence, detail = look.text("sentence"), look.text("detail")
    wrong = [f"at odds: {sentence} | {detail}" for one, other in PAIRS if one in sentence and other in detail]
    turned = (", up from" in detail and "less because" in detail) or (
        ", down from" in detail and "more because" in detail
    )
    little, much = re.search(r"with (less|little) air", sentence), re.search(r"Blower (\d+) %", detail)
    wrong += [f"at odds: {detail}"] if turned else []
    return wrong + ([f"at odds: {sentence} | {detail}"] if little and much and int(much[1]) > 50 else [])


def _with_the_board(look: Look) -> list[str]:
    """Against what the board has said for the last seconds."""
    rows = [row for row in look.series.rows[-8:] if row["at_s"] > look.state["now_s"] - 8.5]
    if look.age_s > SILENT_S or len(rows) < 6:
        return []
    now, sentence, wrong = rows[-1], look.text("sentence"), []
    for line in look.lines:
        if re.search(r"\b([Tt]he blower is off|No air from (the board|it))\b", line.text) and all(
            row["duty"] > 0.02 for row in rows
        ):
            wrong.append(f"at odds: {line.place}: {line.text} (duty {now['duty']:.2f})")
        for what in ("pit", "stone"):
            stands = f"{what} probe gives no value" in line.text and not line.text.startswith("Over")
            if stands and _well(look.series, what):
                wrong.append(f"at odds: {line.place}: {line.text} ({what} {now[f'{what}_c']:.1f})")
        if line.text.startswith("No word from the board"):
            wrong.append(f"at odds: {line.place}: {line.text} (heard {look.age_s:.0f} s ago)")
    wrong += [f"at odds: {sentence} (mode {now['mode']})" for words, mode in MODE.items()
              if sentence.startswith(words) and all(row["mode"] != mode for row in rows)]  # fmt: skip
    lid = "Waiting for the lid" in sentence or "the lid is open" in sentence
    return wrong + ([f"at odds: {sentence} (lid shut)"] if lid and not any(row["lid_open"] for row in rows) else [])


def _well(series: Series, what: str) -> bool:
    """Whether a probe has had a value for three quarters of a minute, without a jump."""
    values = [row[f"{what}_c"] for row in series.rows[-45:]]
    return None not in values and max(values) - min(values) < 60.0


def _with_the_record(look: Look) -> list[str]:
    """Against what was noted: lit, put on, put out; and no blower where none is fitted."""
    marks = {mark["kind"] for mark in look.state.get("marks", [])}
    wrong = [f"at odds: {line.text} (lit)" for line in look.lines if NOT_LIT in line.text and "lit" in marks]
    if "Held by hand" in look.text("sentence") or "By hand" in look.text("sentence"):
        wrong += [f"at odds: {line.place}: {line.text} (no blower)" for line in look.lines
                  if re.search(r"\bblower (is|stops)\b|\bPut .* blower", line.text)
                  and line.place.partition(" ")[0] in ("asked", "beside", "caution")]  # fmt: skip
    headings = [row for row in look.state["ledger"] if row.get("kind") == "piece" and row["heading"] == "not on yet"]
    return wrong + [f"at odds: {row['label']} not on yet, at {row['value']}" for row in headings if row["value"]]


# ---- promises and moments


def _promises(look: Look) -> list[str]:
    if look.series.now["why"] not in STOPS or look.age_s > SILENT_S:
        return []
    state = look.state
    wrong = [f"promise: {key}" for key in ("upcoming", "forecasts") if state[key]]
    wrong += ["promise: phases to come"] if any(row["state"] == "to_come" for row in state["phases"]) else []
    wrong += ["promise: a wanted heat"] if state["number"]["wanted_c"] is not None else []
    return wrong + [f"promise: {line.place}: {line.text}" for line in look.lines if PROMISE.search(line.text)]


def _times(look: Look) -> list[str]:
    """What is to come is not past, what was is not to come, and the middle lies between the ends."""
    now_s, state = look.state["now_s"], look.state
    wrong = [f"time: {row['text']} at {hhmm(row['at_s'])}, past" for key in ("upcoming", "forecasts")
             for row in state[key] if row.get("at_s", now_s) < now_s - SILENT_S]  # fmt: skip
    for line in look.lines:
        slot = BETWEEN.search(line.text)
        if slot and not _in_order(*(60 * int(slot[k]) + int(slot[k + 1]) for k in (3, 1, 5))):
            wrong.append(f"time: {line.place}: {line.text}")
        since = SINCE.search(line.text)
        if since and _minutes_ahead(since[1], hhmm(now_s)) not in range(-20 * 60, 1):
            wrong.append(f"time: {line.place}: {line.text} at {hhmm(now_s)}")
    return wrong


def _in_order(low: int, middle: int, high: int) -> bool:
    """On a clock face: from one to the next is less than half a day."""
    return (middle - low) % 1440 <= 720 and (high - middle) % 1440 <= 720


def _minutes_ahead(said: str, now: str) -> int:
    """How far a moment lies ahead, taken as at most four hours ahead and else past."""
    ahead = truth_values.minutes_ago(now, said)
    return ahead if ahead <= 240 else ahead - 1440
