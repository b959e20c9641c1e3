"""What the published table says of a core temperature curve. A figure beside the curve, never a verdict on food.

Source: USDA FSIS, "Appendix A, Compliance Guidelines for Meeting Lethality Performance Standards for Certain Meat
and Poultry Products", 1999, table for cooked beef, roast beef and cooked corned beef (6.5-log and 7-log reduction of
Salmonella). FSIS revised the guideline in 2017 and 2021: see the current edition. The table is not for poultry, nor for
ground, stuffed, needled or tenderised meat. No credit below its first row, 130 degF (54.4 degC).
"""

from __future__ import annotations

from bisect import bisect_right
from itertools import pairwise

from emberdraft.quantities import say_duration
from emberdraft.said import Temperature, Text, said

TITLE = "USDA FSIS Appendix A (1999), cooked beef, 6.5-log"
SCOPE = "whole beef cuts; not poultry, not ground, stuffed, needled or tenderised meat; revised in 2017 and 2021"

# degF, seconds to 6.5-log, seconds to 7-log. The last row is printed as 0 s ("instantaneous"); see `_seconds_at`.
ROWS = (
    (130, 6720, 7260),
    (131, 5340, 5820),
    (132, 4260, 4620),
    (133, 3360, 3720),
    (134, 2700, 2820),
    (135, 2160, 2220),
    (136, 1680, 1920),
    (137, 1380, 1440),
    (138, 1080, 1140),
    (139, 900, 900),
    (140, 720, 720),
    (141, 540, 600),
    (142, 480, 480),
    (143, 360, 360),
    (144, 300, 300),
    (145, 240, 240),
    (146, 169, 182),
    (147, 134, 144),
    (148, 107, 115),
    (149, 85, 91),
    (150, 67, 72),
    (151, 54, 58),
    (152, 43, 46),
    (153, 34, 37),
    (154, 27, 29),
    (155, 22, 23),
    (156, 17, 19),
    (157, 14, 15),
    (158, 0, 0),
)

_ROW_C = tuple((row[0] - 32.0) * 5.0 / 9.0 for row in ROWS)

COME_UP_C, COME_UP_LONGEST_S = (10.0, 54.4), 21600.0


def conditions() -> Text:
    """What the table's times count on. A dry fire kills less on the face, and a slow start lets grow what it must kill.

    Humidity: FSIS Appendix A (1999 and 2021); "relative humidity greater than 90 percent for at least one hour" as the
    FDA Food Code prints it for roasts (2013, 3-401.11). The 6 h from 50 to 130 degF: Appendix A (1999), from memory.
    """
    low, high = (Temperature(c) for c in COME_UP_C)
    return said(
        "its times count on moist heat, over 90\u00a0% relative humidity for an hour or more, and on at most "
        "{longest} from {low} to {high}; a charcoal cooker promises neither",
        longest=say_duration(COME_UP_LONGEST_S),
        low=low,
        high=high,
    )


class Lethality:
    """Adds up the share of the table's time along a core curve. `share` 1.0 is the table's full time.

    Each interval counts at the lower of its two ends, and at the row at or below that temperature: the sum can be late,
    never early.
    """

    def __init__(self, column: int = 1) -> None:
        """column 1: 6.5-log, 2: 7-log."""
        self.column = column
        self.share = 0.0
        self._last: tuple[float, float] | None = None

    def update(self, t_s: float, core_c: float | None) -> float:
        """One reading, seconds rising; None is a gap, and nothing is credited over it. Returns `share`."""
        if core_c is None:
            self._last = None
            return self.share
        if self._last is not None and t_s > self._last[0]:
            self.share += self._rate(min(core_c, self._last[1])) * (t_s - self._last[0])
        self._last = (t_s, core_c)
        return self.share

    def _rate(self, core_c: float) -> float:
        row = bisect_right(_ROW_C, core_c + 1e-9) - 1
        return 0.0 if row < 0 else 1.0 / _seconds_at(row, self.column)


def _seconds_at(row: int, column: int) -> float:
    """The row's time; "instantaneous" counts as the row before it, so that one stray sample earns nothing whole."""
    return float(ROWS[row][column] or ROWS[row - 1][column])


def danger_zone_s(curve: list[tuple[float, float]]) -> float:
    """Seconds of a curve [(t_s, core_c)] between 4.4 and 60 degC (40-140 degF, USDA "danger zone")."""
    return sum(b[0] - a[0] for a, b in pairwise(curve) if 4.4 < (a[1] + b[1]) / 2.0 < 60.0)
