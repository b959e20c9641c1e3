"""What the page shows of a state, as lines of words: read from the JSON that it is sent, in the unit of its browser.

Degrees become words here a second time, by hand and apart from the host (docs/reference/http.md says how values look);
tests/web/test_shown.py holds these lines to what a real browser shows.
"""

from __future__ import annotations

import json
import time
from typing import Any, NamedTuple

import msgspec

Row = dict[str, Any]


STRUCK_OUT_S = 6.0


class Line(NamedTuple):
    """`place` on the page; `since_s`: when what it speaks of began, unix s, where it is a thing that stands."""

    place: str
    text: str
    since_s: float | None = None


def as_sent(state: Row) -> Row:
    """The state through the JSON, as the page gets it."""
    sent: Row = json.loads(msgspec.json.encode(state))
    return sent


def words(text: Any, unit: str) -> str:
    """A text of the JSON in words, with plain spaces."""
    parts = [text] if isinstance(text, str) else text["parts"]
    said = "".join(part if isinstance(part, str) else _quantity(part, unit) for part in parts)
    return said.replace("\u00a0", " ").replace("\u2212", "-")


def _quantity(value: Row, unit: str) -> str:
    """A temperature shifts its zero from degC to degF, a difference does not."""
    f, difference = unit == "f", value["is"] == "Difference"
    shown = value["c"] * (1.8 if f else 1.0) + (32.0 if f and not difference else 0.0)
    digits = value.get("digits", 1) if difference else value.get("digits_f" if f else "digits", 0)
    return f"{shown:.{digits}f}" + ("" if value.get("bare") else f" °{unit.upper()}")


def hhmm(at_s: float) -> str:
    """A moment as the page writes it."""
    return time.strftime("%H:%M", time.localtime(at_s))


def lines(state: Row, unit: str) -> list[Line]:
    """Every text of the page Now, in its order."""
    # A page that has heard nothing of the board for six seconds says so itself, and strikes its numbers out.
    heard = (state.get("link", {}).get("heard_s") or 0.0) <= STRUCK_OUT_S or state["link"]["state"] != "online"
    said: list[tuple[str, Any, float | None]] = [
        ("sentence", state["sentence"] if heard else "", None),
        ("detail", state["detail"] if heard else "", None),
        ("number", _of_number(state, unit), None),
        *((f"alarm {row['id']}", row[key], row["at_s"]) for row in state["alarms"] for key in _OF_ALARM),
        *((f"asked {row['id']}", row[key], row["since_s"]) for row in state["asked"] for key in _OF_ASKED),
        *((f"beside {row['id']}", text, None) for row in state["asked"] for text in row["caution"]),
        *(("to come", row["text"], None) for row in state["upcoming"]),
        *((f"ledger {row['key']}", row["heading"], None) for row in state["ledger"]),
        *((f"deeper {name}", text, None) for name, part in _deeper(state) for text in part["lines"]),
        *(("caution", text, None) for text in state["caution"]),
    ]
    found = [Line(place, words(text, unit), since_s) for place, text, since_s in said]
    return [line for line in found if line.text]


_OF_ALARM = ("cause", "consequence", "action")
_OF_ASKED = ("title", "text")


def _deeper(state: Row) -> list[tuple[str, Row]]:
    return [(name, part) for name, part in (state.get("deeper") or {}).items() if part and "lines" in part]


def _of_number(state: Row, unit: str) -> str:
    """Under the one number: 'stone, on its way to 270' while it is driven and more than 3 degC below."""
    number, phase = state["number"], (state.get("phase") or {}).get("name")
    wanted_c, value_c = number["wanted_c"], number.get("value_c")
    if wanted_c is None:
        return ""
    below = phase in ("climb", "sear") and value_c is not None and wanted_c - value_c > 3.0
    wanted = wanted_c * 1.8 + 32.0 if unit == "f" else wanted_c
    return f"{number['of']}, {'on its way to' if below else 'wanted'} {wanted:.0f} °{unit.upper()}"
