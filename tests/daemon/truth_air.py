"""What is said of the air, and the causes that are named, beside the rows of now and of ten minutes ago."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tests.daemon.series import SPAN_S, Row, Series

if TYPE_CHECKING:
    from tests.daemon.truth import Look

ROUNDED_C = 0.4  # a difference of two readings, said to a tenth; the row of now is at most five seconds older
SHARE = 0.021  # two shares rounded to whole percents
STILL_PER_MIN = 0.05
THEN = re.compile(r"Blower (\d+) %, (up|down) from (\d+) % ten minutes ago")
MOVED = re.compile(r"the pit is ([\d.]+) °([CF]) (lower|higher) than then")
WANTED = re.compile(r"([\d.]+) °([CF]) was wanted then")
LIMIT = re.compile(r"held back by the pit limit of ([\d.]+) °([CF])")
SIGNS = {
    "fire is smaller": ("fire", -1), "fire is bigger": ("fire", 1), "takes more": ("i", 1), "takes less": ("i", -1),
}  # fmt: skip
WAS_SO = {
    "the lid was open then": lambda row: row["lid_open"],
    "the stone was driven then": lambda row: row["mode"] == "drive",
    "the board was off then": lambda row: row["mode"] == "off",
    "the air was shut then": lambda row: row["mode"] == "bank",
    "the blower was stopped then": lambda row: row["why"] in ("paused", "tripped", "wait_sensor"),
}


def air(look: Look) -> list[str]:
    """Shares of now and of ten minutes ago."""
    if look.age_s > 5.0:
        return []
    sentence, detail, duty = look.text("sentence"), look.text("detail"), float(look.series.now["duty"])
    wrong = [
        f"air: {sentence} (duty {duty:.2f})" for words, most in _WORDS if re.search(words, sentence) and not most(duty)
    ]
    for said in re.finditer(r"(?:with|air|Blower) (\d+) %", f"{sentence} {detail}"):
        wrong += [f"air: {sentence} {detail} (duty {duty:.2f})"] if abs(float(said[1]) / 100.0 - duty) > SHARE else []
    told, then = THEN.search(detail), look.series.around(SPAN_S)
    if told and then:
        near = min(abs(float(told[3]) / 100.0 - row["duty"]) for row in then)
        if near > SHARE or (told[2] == "up") != (int(told[1]) >= int(told[3])):
            wrong.append(f"air: {detail}")
    return wrong + _held_back(sentence, look)


_WORDS = (
    (r"\b(with )?all air", lambda duty: duty >= 0.95),
    ("blower is off", lambda duty: duty <= 0.0),
    ("only keeps the fire|least air that keeps", lambda duty: 0.0 < duty <= 0.25),
    ("air shut", lambda duty: duty <= 0.0),
    ("with little air", lambda duty: duty <= 0.5),
)


def _held_back(sentence: str, look: Look) -> list[str]:
    """At a pit limit the pit is near it, and the air is not all of it."""
    said, now = LIMIT.search(sentence), look.series.now
    if said is None or now["pit_c"] is None:
        return []
    limit_c = (float(said[1]) - 32.0) / 1.8 if said[2] == "F" else float(said[1])
    far = now["pit_c"] < limit_c - 45.0 or now["duty"] >= 0.98
    return [f"cause: {sentence} (pit {now['pit_c']:.0f}, duty {now['duty']:.2f})"] if far else []


def causes(look: Look) -> list[str]:
    """Each cause that is named was there."""
    detail, series = look.text("detail"), look.series
    then = series.around(SPAN_S)
    if look.age_s > 5.0 or not then:
        return []
    wrong = [f"cause: {detail}" for words, so in WAS_SO.items() if words in detail and not any(so(row) for row in then)]
    wanted = WANTED.search(detail)
    if wanted:
        wanted_c = (float(wanted[1]) - 32.0) / 1.8 if wanted[2] == "F" else float(wanted[1])
        near = [row for row in then if row["target_c"] is not None and abs(row["target_c"] - wanted_c) <= 0.6]
        wrong += [] if near else [f"cause: {detail}"]
    _, because, cause = detail.partition("because ")
    return wrong + (_because(detail, cause, series, then) if because else [])


def _because(detail: str, cause: str, series: Series, then: list[Row]) -> list[str]:
    now, moved = series.now, MOVED.search(cause)
    if moved:
        step_c = float(moved[1]) / (1.8 if moved[2] == "F" else 1.0) * (1.0 if moved[3] == "higher" else -1.0)
        around = [row["pit_c"] for row in then if row["pit_c"] is not None]
        off_c = min((abs(now["pit_c"] - then_c - step_c) for then_c in around), default=99.0)
        return [f"cause: {detail}"] if off_c > ROUNDED_C else []
    for words, (key, sign) in SIGNS.items():
        if words in cause:
            return [f"cause: {detail}"] if all(sign * (now[key] - row[key]) < 0.0 for row in then) else []
    if "is falling" in cause or "is rising" in cause:
        paces = [pace if "is rising" in cause else -pace for pace in series.paces("pit_c")]
        return [f"cause: {detail} (paces {paces})"] if paces and max(paces) < -STILL_PER_MIN else []
    return [f"cause that nobody knows: {detail}"]
