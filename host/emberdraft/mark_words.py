"""The words of a mark, by its kind and with its value in that kind's unit: of status line, strip, list and report."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from emberdraft.quantities import say_number, say_opening
from emberdraft.said import Temperature, Text, said

WORDS = {
    "lit": "Lit",
    "vent_top": "Top vent",
    "vent_bottom": "Bottom vent",
    "lid_open": "Opening the lid",
    "lid_shut": "Lid shut",
    "set_up": "Set up",
    "piece_on": "Piece on",
    "pulled": "Pulled",
    "flipped": "Flipped",
    "on_stone": "On the stone",
    "off_stone": "Off the stone",
    "fuel": "Fuel added",
    "stone_face": "Stone face",
    "gains": "Gains changed",
    "swap": "Probes swapped:",
    "pull_at": "Pull",
    "plan": "Plan changed:",
    "note": "Note:",
}
LONGEST_LABEL = 60
LONGEST_WORD = 12


def word(kind: str) -> str:
    """'Top vent'; a kind of a later version is named as it is."""
    return WORDS.get(kind, kind.replace("_", " "))


def label(mark: Mapping[str, Any]) -> Text:
    """In short: 'Top vent 1/2', 'Pulled A', 'Stone face 262 °C'."""
    kind, text = mark["kind"], mark.get("text") or ""
    if kind == "plan":
        return _changed(mark)
    if kind == "note":
        return text[:LONGEST_LABEL]
    value = _value(kind, mark.get("value"))
    if value:
        return said("{word} {value}", word=_with(word(kind), text if kind == "pull_at" else ""), value=value)
    return _with(word(kind), text) if len(text) <= LONGEST_WORD and kind != "gains" else word(kind)


def told(mark: Mapping[str, Any]) -> Text:
    """All of it: 'Pulled A at 57.7 °C', 'Top vent 1/2', 'Note: the wind turned'."""
    kind, of, value = mark["kind"], _with(word(mark["kind"]), mark.get("text") or ""), mark.get("value")
    if kind == "plan":
        return _changed(mark)
    if value is None:
        return of
    return said("{of} {value}", of=of, value=_value(kind, value) or said("at {heat}", heat=Temperature(value, 1)))


def _changed(mark: Mapping[str, Any]) -> Text:
    """A change of the plan is its own words; one with a value is of the pit's target."""
    value, text = mark.get("value"), str(mark.get("text") or "")
    return text[:LONGEST_LABEL] if value is None else said("Target {heat} from now on", heat=Temperature(value))


def _with(what: str, text: str) -> str:
    return f"{what} {text}".strip()


def _value(kind: str, value: float | None) -> Text:
    """The value of a kind that is known by it; '' of any other: then it is a temperature that was read with it."""
    if value is None:
        return ""
    if kind in ("vent_top", "vent_bottom"):
        return say_opening(value)
    if kind == "fuel":
        return f"{say_number(value, 1)}\u00a0kg"
    if kind == "pull_at":
        return said("at {heat}", heat=Temperature(value))
    return said("{heat}", heat=Temperature(value)) if kind == "stone_face" else ""
