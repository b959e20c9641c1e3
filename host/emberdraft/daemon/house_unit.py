"""Sentences made in degC, in the unit of the house: temperatures as temperatures, differences as differences.

The page does the same with `words` in units.js for the unit that its browser shows; a test holds both to one list.
"""

from __future__ import annotations

import re

from emberdraft.quantities import c_to_f, difference_c_to_f, say_number

_AFTER = "over|under|to go|above|below|off|higher|lower|more|less|short"
_NUMBER = r"\d+(?:\.\d+)?"
_BAND_AFTER = re.compile(rf"({_NUMBER})(\s*)°C\s*±\s*({_NUMBER})")
_BAND = re.compile(rf"({_NUMBER})\s*±\s*({_NUMBER})(\s*)°C")
_PLAIN = re.compile(rf"(±\s*)?([-\u2212]?{_NUMBER})(\s*)°C(\s+(?:{_AFTER})\b)?")
_PACE = re.compile(rf"\b(rising|falling)(\s+(?:by\s+)?)({_NUMBER})(\s+a\s+minute)")


def in_unit(text: str, unit: str) -> str:
    """The sentence with degC as it is, or ('f') with all degrees in it in degF."""
    if unit != "f":
        return text
    text = _BAND_AFTER.sub(lambda m: f"{_at(m[1])}{m[2]}°F ± {_by(m[3])}", text)
    text = _BAND.sub(lambda m: f"{_at(m[1])} ± {_by(m[2])}{m[3]}°F", text)
    text = _PLAIN.sub(_plain, text)
    return _PACE.sub(lambda m: f"{m[1]}{m[2]}{_by(m[3])}{m[4]}", text)


def _plain(found: re.Match[str]) -> str:
    about, value, gap, after = found.groups()
    return f"{about or ''}{_by(value) if about or after else _at(value)}{gap}°F{after or ''}"


def _at(text: str) -> str:
    return say_number(c_to_f(_number(text)))


def _by(text: str) -> str:
    return say_number(difference_c_to_f(_number(text)), len(text.partition(".")[2]))


def _number(text: str) -> float:
    return float(text.replace("\u2212", "-"))
