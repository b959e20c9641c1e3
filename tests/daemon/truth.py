"""Reads what the page says as a person does, beside the plain readings: what is said and is not so.

It shares no code with the making of sentences: only the state as JSON (docs/reference/http.md) and the board's rows.
Bounds are wider than the rounding of what is said, and narrower than what a cook would call another thing.
"""

from __future__ import annotations

import re
from typing import Any

Row = dict[str, Any]
SPAN_S, PACE_S, HALF_S = 600, 120, 15
STILL_PER_MIN = 0.05  # a said direction needs no more than that, either way; degC
STEADY_PER_MIN = 0.5
ROUNDED_C = 0.4  # a difference of two readings, said to a tenth; the row of now is at most five seconds older
SHARE = 0.021  # two shares rounded to whole percents
STOPS = ("tripped", "paused", "wait_sensor")
PACE = re.compile(r"\b(rising|falling) ([\d.]+) a minute")
THEN = re.compile(r"Blower (\d+) %, (up|down) from (\d+) % ten minutes ago")
MOVED = re.compile(r"the pit is ([\d.]+) °([CF]) (lower|higher) than then")
OLD = re.compile(r"\b(?:reached|was at) [\d.]+ °[CF](?![^.;]*\bat \d\d:\d\d)")
PROMISE = re.compile(r"\babout \d\d:\d\d|on its way|8 times in 10|nothing for you until")
SIGNS = {
    "fire is smaller": ("fire", -1), "fire is bigger": ("fire", 1), "takes more": ("i", 1), "takes less": ("i", -1),
}  # fmt: skip
THINNED_S = 8  # the host keeps one reading in five seconds


class Series:
    """The board's rows of one cook, one a second."""

    def __init__(self) -> None:
        self.rows: list[Row] = []

    def add(self, row: Row) -> None:
        """The newest."""
        self.rows.append(row)

    def at(self, ago_s: int) -> Row | None:
        """The row of about so many seconds ago; None in a gap."""
        return next(iter(self.around(ago_s)), None)

    def around(self, ago_s: int) -> list[Row]:
        """The rows of about then, one of which the host has kept; before a gap the last, if it is half a minute old."""
        near = self._between(ago_s + THINNED_S, ago_s - THINNED_S)
        return near or self._between(ago_s + 2 * HALF_S, ago_s)[-1 - THINNED_S :]

    def mean(self, key: str, ago_s: int) -> float | None:
        """Over the half minute before then; None where values are missing."""
        part = [row[key] for row in self._between(ago_s + 2 * HALF_S, ago_s)]
        return None if len(part) < 2 * HALF_S or None in part else sum(part) / len(part)

    def _between(self, from_ago_s: int, to_ago_s: int) -> list[Row]:
        now_s = self.rows[-1]["at_s"]
        return [row for row in self.rows[-SPAN_S - 60 :] if from_ago_s >= now_s - row["at_s"] >= to_ago_s]

    def pace(self, key: str) -> float | None:
        """degC a minute over two minutes, from the means of both ends."""
        now, then = self.mean(key, 0), self.mean(key, PACE_S - 2 * HALF_S)
        return None if now is None or then is None else (now - then) / ((PACE_S - 2 * HALF_S) / 60.0)


def found(sentence: str, detail: str, state: Row, series: Series) -> list[str]:
    """Each thing that is said and is not so."""
    sentence, detail = (text.replace("\u00a0", " ") for text in (sentence, detail))
    return [
        *_directions(sentence, series),
        *_air(sentence, detail, series),
        *_causes(detail, series),
        *_odds(sentence, detail),
        *_old(state),
        *_promises(sentence, detail, state, series),
    ]


def _directions(sentence: str, series: Series) -> list[str]:
    pace = series.pace("stone_c" if "stone" in sentence.lower() else "pit_c")
    said = PACE.search(sentence)
    if pace is None:
        return []
    if said and (pace if said[1] == "rising" else -pace) < -STILL_PER_MIN:
        return [f"direction: {sentence} (pace {pace:.2f})"]
    return [f"direction: {sentence} (pace {pace:.2f})"] if "steady" in sentence and abs(pace) > STEADY_PER_MIN else []


def _air(sentence: str, detail: str, series: Series) -> list[str]:
    now, then, wrong = series.rows[-1], series.at(SPAN_S), []
    duty = float(now["duty"])
    if (re.search(r"\b(with )?all air", sentence) and duty < 0.95) or ("blower is off" in sentence and duty > 0.0):
        wrong.append(f"air: {sentence} (duty {duty:.2f})")
    said = re.search(r"with (\d+) % air", sentence)
    if said and abs(float(said[1]) / 100.0 - duty) > SHARE:
        wrong.append(f"air: {sentence} (duty {duty:.2f})")
    told = THEN.search(detail)
    if told and then is not None:
        near = min(abs(float(told[3]) / 100.0 - (series.at(SPAN_S + k) or then)["duty"]) for k in range(-8, 9))
        if near > SHARE or (told[2] == "up") != (int(told[1]) >= int(told[3])):
            wrong.append(f"air: {detail}")
    return wrong


def _causes(detail: str, series: Series) -> list[str]:
    _, because, cause = detail.partition("because ")
    now, then = series.rows[-1], series.at(SPAN_S)
    if not because or then is None:
        return []
    moved = MOVED.search(cause)
    if moved and now["pit_c"] is not None and then["pit_c"] is not None:
        step_c = float(moved[1]) / (1.8 if moved[2] == "F" else 1.0) * (1.0 if moved[3] == "higher" else -1.0)
        around = [row["pit_c"] for row in series.around(SPAN_S) if row["pit_c"] is not None]
        off_c = min(abs(now["pit_c"] - then_c - step_c) for then_c in around)
        return [f"cause: {detail}"] if off_c > ROUNDED_C else []
    for words, (key, sign) in SIGNS.items():
        if words in cause:
            return [f"cause: {detail}"] if all(sign * (now[key] - r[key]) < 0.0 for r in series.around(SPAN_S)) else []
    if "is falling" in cause or "is rising" in cause:
        pace = series.pace("pit_c")
        against = pace is not None and (pace if "is rising" in cause else -pace) < -STILL_PER_MIN
        return [f"cause: {detail} (pace {pace})"] if against else []
    return [] if moved else [f"cause that nobody knows: {detail}"]


def _odds(sentence: str, detail: str) -> list[str]:
    """Two statements that cannot both be so."""
    pairs = [
        ("falling", "is rising"), ("falling", "already rising"), ("rising", "is falling"), ("as it is", "from"),
        ("as much air", ", up from"), ("as much air", ", down from"), ("more air than", ", down from"),
        ("less air than", ", up from"), ("easing off", ", up from"), ("giving more", ", down from"),
    ]  # fmt: skip
    wrong = [f"at odds: {sentence} | {detail}" for one, other in pairs if one in sentence and other in detail]
    turned = (", up from" in detail and "less because" in detail) or (
        ", down from" in detail and "more because" in detail
    )
    little = re.search(r"with (less|little) air", sentence)
    much = re.search(r"Blower (\d+) %", detail)
    wrong += [f"at odds: {detail}"] if turned else []
    return wrong + ([f"at odds: {sentence} | {detail}"] if little and much and int(much[1]) > 50 else [])


def _old(state: Row) -> list[str]:
    """A value of then without its time."""
    texts = [(alarm["at_s"], f"{alarm['cause']}") for alarm in state["alarms"]]
    texts += [(row["since_s"], row["text"]) for row in state["asked"]]
    plain = [(at_s, text.replace("\u00a0", " ")) for at_s, text in texts]
    return [f"old: {text}" for at_s, text in plain if state["now_s"] - at_s > 5.0 and OLD.search(text)]


def _promises(sentence: str, detail: str, state: Row, series: Series) -> list[str]:
    now = series.rows[-1]
    if now["why"] not in STOPS:
        return []
    wrong = [f"promise: {key}" for key in ("upcoming", "forecasts") if state[key]]
    wrong += ["promise: phases to come"] if any(row["state"] == "to_come" for row in state["phases"]) else []
    wrong += ["promise: a wanted heat"] if state["number"]["wanted_c"] is not None else []
    texts = [sentence, detail, *(row["heading"] for row in state["ledger"]), *(row["text"] for row in state["asked"])]
    return wrong + [f"promise: {text}" for text in texts if PROMISE.search(text)]
