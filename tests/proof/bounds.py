"""A bound: what a promise is held to, said in words from the same numbers that judge it."""

from __future__ import annotations

from typing import Any, NamedTuple


class Bound(NamedTuple):
    """One exact value, or a least and a most (one of them may be left out)."""

    at_least: float | None = None
    at_most: float | None = None
    equals: Any = None

    def short_by(self, value: Any) -> float:
        """How far the value is outside, in its own unit: 0 keeps the bound, infinity is "never" or not a number."""
        if value is None or value != value:
            return float("inf")
        if self.equals is not None:
            numbers = all(isinstance(each, int | float) for each in (value, self.equals))
            return abs(value - self.equals) if numbers else float(value != self.equals)
        below = 0.0 if self.at_least is None else self.at_least - value
        above = 0.0 if self.at_most is None else value - self.at_most
        return max(below, above, 0.0)

    def met(self, value: Any) -> bool:
        """Whether the value keeps the bound."""
        return self.short_by(value) == 0.0

    def __str__(self) -> str:
        if self.equals is not None:
            return f"{self.equals}"
        if self.at_least is not None and self.at_most is not None:
            return f"{self.at_least:g} to {self.at_most:g}"
        return f"at least {self.at_least:g}" if self.at_least is not None else f"at most {self.at_most:g}"


def bound(at_least: float | None = None, at_most: float | None = None, equals: Any = None) -> Bound:
    """A bound that can be missed: one that names nothing, or an exact value and a range, is a mistake of the test."""
    ranged = at_least is not None or at_most is not None
    if ranged == (equals is not None):
        raise ValueError("a promise needs at_least, at_most or both, or else equals")
    return Bound(at_least, at_most, equals)
