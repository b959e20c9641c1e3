"""What a person can note, by kind; its words are those of mark_words.py."""

from __future__ import annotations

from emberboard.core import limits
from emberdraft.errors import UserError
from emberdraft.mark_words import WORDS

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
