"""What a piece has lived through, kept short enough to be lived through again by other guesses."""

from __future__ import annotations

import math
from collections.abc import Iterator

MOST = 128  # steps kept; when they are full two become one, so that a night costs what an hour does


class Past:
    """Steps of `step_s`: the pit in each, the reading at its end (NaN: none), and which place the probe was in."""

    def __init__(self, step_s: float) -> None:
        self.step_s = step_s
        self.places = 1
        self._steps: list[tuple[float, float, int]] = []

    def add(self, pit_c: float) -> None:
        """One more step, no reading yet."""
        self._steps.append((pit_c, math.nan, self.places - 1))

    def read(self, core_c: float) -> None:
        """The reading at the end of the last step."""
        pit_c, _, place = self._steps[-1]
        self._steps[-1] = (pit_c, core_c, place)

    def halve(self) -> None:
        """Make two steps one when it is full."""
        if len(self._steps) < MOST:
            return
        pairs = zip(self._steps[::2], self._steps[1::2], strict=True)
        self._steps = [(0.5 * (first[0] + last[0]), *last[1:]) for first, last in pairs]
        self.step_s *= 2.0

    def __iter__(self) -> Iterator[tuple[float, float, int]]:
        """Pit, reading and place of every step, oldest first."""
        return iter(self._steps)
