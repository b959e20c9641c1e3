"""Numbers that are said of now or of a moment, beside the rows of then."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tests.daemon.series import Row, value_of
from tests.daemon.shown import Line, hhmm

if TYPE_CHECKING:
    from tests.daemon.truth import Look

HEAT = ("pit_c", "stone_c", "core_c")
_U = r"(-?\d+(?:\.\d+)?) °[CF]"
IS_AT = re.compile(rf"\b([Tt]he pit|[Tt]he stone|It) is at {_U}")
NOW = re.compile(rf"\bnow {_U}")
THEN = re.compile(rf"\b(?:reached|was at|hot:|temperature:) {_U} at (\d\d:\d\d)")
SUBJECT = re.compile(r"\b(pit|stone|board)\b")
QUANTITY = re.compile(rf"{_U}|\d+(?:\.\d+)? (?:kg|min|h|s)\b")
FIXED = re.compile(r"(?:limit is|wanted is|limit of|under|below|between|and|to|until|±|than|over) $")
TIMED = re.compile(r"^(?: over its target)? at \d\d:\d\d")
HOLD = re.compile(rf"(?:Holding|Held by hand at) {_U}: (?:(\d+(?:\.\d+)?) °[CF] (over|under)|(on it))")
TO_GO = re.compile(rf"(?:Coming up to|By hand to|Driving the stone to) {_U}[^:]*: (\d+(?:\.\d+)?) °[CF] (to go|over)")
OF_ALARM = {
    **dict.fromkeys(("pit_over_limit", "not_answering", "starved_hot", "runaway"), "pit_c"),
    **dict.fromkeys(("stone_over_limit", "drive_too_long"), "stone_c"), "board_hot": "board_c",
}  # fmt: skip
OF_PROMPT = {"come_to_sear": "stone_c", "sear_on": "stone_c", "climb_over": "stone_c", "look_at_fire": "pit_c"}
EPS = 0.06
OLD_S = 5.0
SILENT_S = 6.0  # then the page strikes its numbers out and says since when
ON_IT_C = 0.31
READ_C = 2.5  # the board judges a level that is smoothed over tens of seconds, the row has the sample


def column(key: str) -> tuple[str, int | None]:
    """The row's column of a line of the table, and which probe."""
    if key.startswith("core"):
        return "core_c", int(key[4:]) - 1
    return {"pit": "pit_c", "stone": "stone_c", "blower": "duty", "damper": "opening"}.get(key, ""), None


def values(look: Look) -> list[str]:
    """What is said of now is the newest row; what is said of a moment was so then."""
    heard = look.age_s <= SILENT_S
    wrong = [one for line in look.lines for one in (*_present(line, look, heard), *_past(line, look))]
    return wrong + ([*_table(look), *_gap(look)] if heard else [])


def _table(look: Look) -> list[str]:
    wrong = []
    for row in look.state["ledger"]:
        key, index = column(row["key"])
        if key and row.get("value") is not None:
            now = value_of(look.series.now, key, index)
            if now is None or abs(now - row["value"]) > EPS:
                wrong.append(f"value: {row['key']} {row['value']} (row {now})")
    number = look.state["number"]
    if number.get("value_c") is not None and number["value_c"] != look.series.now[f"{number['of']}_c"]:
        wrong.append(f"value: number {number['value_c']}")
    return wrong


def _present(line: Line, look: Look, heard: bool) -> list[str]:
    said = [(_columns(found[1]), found[2]) for found in IS_AT.finditer(line.text)]
    said += [([OF_ALARM[_id(line)]], found[1]) for found in NOW.finditer(line.text) if _id(line) in OF_ALARM]
    if said and not heard:
        return [f"old: {line.place}: {line.text} (board silent for {look.age_s:.0f} s)"]
    return [
        f"value: {line.place}: {line.text}" for keys, text in said if not _is(text, keys, look.series.now, look.unit)
    ]


def _past(line: Line, look: Look) -> list[str]:
    """What was read at a moment lies between the lowest and the highest of that minute."""
    wrong = []
    for found in THEN.finditer(line.text):
        of = OF_ALARM.get(_id(line)) or OF_PROMPT.get(_id(line).partition("-")[0])
        named = SUBJECT.findall(line.text[: found.start()])
        keys = [of] if of else _columns(named[-1] if named else "it")
        began_s = look.state["now_s"] // 60.0 * 60.0 - 60.0 * minutes_ago(found[2], hhmm(look.state["now_s"]))
        near = look.series.within(began_s, began_s + 59.9)
        read = [value for row in near for value in _readings(keys, row)]
        said_c = (float(found[1]) - 32.0) / 1.8 if look.unit == "f" else float(found[1])
        if read and not min(read) - READ_C <= said_c <= max(read) + READ_C:
            wrong.append(f"value: {line.place}: {line.text} ({min(read):.0f} to {max(read):.0f})")
    return wrong


def minutes_ago(said: str, now: str) -> int:
    """From one time of the day to another, less than a day later."""
    a, b = ([int(part) for part in time.split(":")] for time in (said, now))
    return (60 * (b[0] - a[0]) + b[1] - a[1]) % 1440


def _id(line: Line) -> str:
    """Which alarm a line is of, on its own or under Next."""
    return line.place.partition(" ")[2].removeprefix("alarm-")


def _columns(subject: str) -> list[str]:
    word = subject.lower().removeprefix("the ")
    return {"pit": ["pit_c"], "stone": ["stone_c"], "board": ["board_c"]}.get(word, ["core_c"])


def _readings(keys: list[str], row: Row) -> list[float]:
    found = [value for key in keys for value in (row[key] if isinstance(row[key], list) else [row[key]])]
    return [value for value in found if value is not None]


def _is(text: str, keys: list[str], row: Row, unit: str) -> bool:
    """Whether a number that is said is one of these of the row, to its last digit."""
    f, zero = (1.8, 32.0) if unit == "f" else (1.0, 0.0)
    half = 0.5 * 10.0 ** -len(text.partition(".")[2])
    return any(abs(value * f + zero - float(text)) <= half + EPS for value in _readings(keys, row))


def _gap(look: Look) -> list[str]:
    """'0.4 over', '57 to go': of the stone where that is driven, else of the pit; and which temperature is wanted."""
    sentence, now, f = look.text("sentence"), look.series.now, 1.8 if look.unit == "f" else 1.0
    of = "stone_c" if "stone" in sentence or look.state["number"].get("of") == "stone" else "pit_c"
    said = HOLD.search(sentence) or TO_GO.search(sentence)
    if said is None or now[of] is None:
        return []
    target_c = (float(said[1]) - (32.0 if look.unit == "f" else 0.0)) / f
    wanted_c = now["target_c"] if now["mode"] in ("hold", "drive") else look.state["number"]["wanted_c"]
    wrong = [f"value: {sentence} (wanted {wanted_c})"] if wanted_c is None or abs(target_c - wanted_c) > 0.56 else []
    gap_c = now[of] - (wanted_c or target_c)
    if said[2] is None:
        return wrong + ([f"value: {sentence} (off by {gap_c:.1f})"] if abs(gap_c) > ON_IT_C else [])
    told_c = float(said[2]) / f * (1.0 if said[3] == "over" else -1.0)
    half_c = 0.5 * 10.0 ** -len(said[2].partition(".")[2]) / f + EPS
    return wrong + ([f"value: {sentence} (off by {gap_c:.1f})"] if abs(told_c - gap_c) > half_c else [])


def old(look: Look) -> list[str]:
    """A value of then without its time, in what has stood for more than five seconds."""
    wrong = []
    for line in look.lines:
        standing = line.place.startswith(("alarm ", "asked ")) and line.since_s is not None
        if standing and look.state["now_s"] - (line.since_s or 0.0) > OLD_S and _of_then(line):
            wrong.append(f"old: {line.place}: {line.text}")
    return wrong


WAS = re.compile(r"\b(reached|was|hot:)\b")


def _of_then(line: Line) -> bool:
    """Whether a clause that tells of the past has a quantity that is neither fixed, nor of now, nor has its time."""
    for clause in re.split(r"[.;] ", line.text):
        for found in QUANTITY.finditer(clause) if WAS.search(clause) else ():
            before, after = clause[: found.start()], clause[found.end() :]
            if not (FIXED.search(before) or TIMED.search(after) or before.endswith(("now ", "is at ", "here "))):
                return True
    return False
