"""What a person can note, by kind, and the word for it."""

from __future__ import annotations

from typing import Any

from emberboard.core import limits
from emberdraft.daemon.vent_words import opening_words
from emberdraft.errors import UserError
from emberdraft.quantities import say_number
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
    "note": "Note",
}
# The conductor makes these itself.
NOT_BY_HAND = ("gains", "swap", "plan")
LONGEST_TEXT = 500
FUEL_MOST_KG = 50.0
STONE_FACE_C = (-20.0, 800.0)


def checked(kind: str, value: float | None, text: str) -> None:
    """UserError when a mark of this kind cannot hold this value or text."""
    known = [name for name in WORDS if name not in NOT_BY_HAND]
    if kind not in known:
        raise UserError(f"mark {str(kind)[:40]!r}: one of {', '.join(known)} would be right")
    if not isinstance(text, str) or len(text) > LONGEST_TEXT:
        raise UserError(f"mark {kind}: text of at most {LONGEST_TEXT} characters would be right")
    if kind in ("vent_top", "vent_bottom"):
        _within(kind, value, 0.0, 1.0, "a fraction open")
    elif kind == "stone_face":
        _within(kind, value, *STONE_FACE_C, "degC")
    elif kind == "pull_at":
        _within(kind, value, limits.PULL_LOW_C, limits.PULL_HIGH_C, "degC")
    elif kind == "fuel" and value is not None:
        _within(kind, value, 0.0, FUEL_MOST_KG, "kg")
    elif kind == "note" and not text.strip():
        raise UserError("mark note: words to keep would be right")


def _within(kind: str, value: float | None, low: float, high: float, what: str) -> None:
    good = isinstance(value, (int, float)) and not isinstance(value, bool) and low <= value <= high
    if not good:
        raise UserError(f"mark {kind}: value {value!r}; {what}, {low:g} to {high:g}, would be right")


def label(mark: dict[str, Any]) -> Text:
    """'Top vent 1/2', 'Pulled A', 'Stone face 262 °C'."""
    kind, value, text = mark["kind"], mark.get("value"), mark.get("text") or ""
    word = WORDS.get(kind, str(kind).replace("_", " "))
    if kind in ("vent_top", "vent_bottom") and value is not None:
        return f"{word} {opening_words(value)}"
    if kind == "stone_face" and value is not None:
        return said("{word} {value}", word=word, value=Temperature(value))
    if kind == "fuel" and value is not None:
        return f"{word} {say_number(value, 1)}\u00a0kg"
    if kind == "pull_at" and value is not None:
        return said("{word} {letter} at {value}", word=word, letter=text, value=Temperature(value))
    if kind == "plan" and value is not None:
        return said("Target {value} from now on", value=Temperature(value))
    if kind in ("note", "plan"):
        return text[:60]
    return f"{word} {text}".strip() if len(text) <= 12 and kind != "gains" else word
