"""Which optional parts a board says it has, and what is not watched where one is missing (docs/explain/safety.md)."""

from __future__ import annotations

from typing import Any

# A part by its name in the board's `info`, and what nobody looks at without it.
WITHOUT = (
    ("tach", "the blower's speed"),
    ("damper_feedback", "the damper's place"),
    ("supply", "the 12 V supply"),
    ("stone", "the stone"),
)


def not_watched(sensors: dict[str, Any]) -> list[str]:
    """What is not watched on a board with these parts; a blower or damper that is not there needs no watching."""
    absent = {"tach": sensors.get("blower") is False, "damper_feedback": not sensors.get("damper")}
    missing = (None, False, "none", "")
    return [words for part, words in WITHOUT if sensors.get(part) in missing and not absent.get(part)]


def sentence(info: dict[str, Any] | None) -> str:
    """For Health and `doctor`."""
    if info is None:
        return "no board has told yet what it has"
    words = not_watched(info.get("sensors") or {})
    return f"all that is fitted; no part for {', '.join(words)}" if words else "every part that can be"
