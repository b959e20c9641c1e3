"""How far a vent is open, in the words of a hand: eighths where they fit, per cent otherwise, and finger widths.

A finger is 19 mm wide (common practice). The vents are those of ceramic cookers of 30 to 60 cm, as ready/ takes them,
and are reckoned as square: a person sees soon how far that is on their own.
"""

from __future__ import annotations

from math import sqrt

from emberdraft.quantities import say_opening
from emberdraft.ready.twin import PRIOR
from emberdraft.ready.vents import CONDUCTANCE_PER_M2, DOOR, FINGER_M

LEAST_FINGER = 0.15
WIDE_M = {
    "top": sqrt(PRIOR["vent"][0] / CONDUCTANCE_PER_M2),
    "bottom": sqrt(DOOR / CONDUCTANCE_PER_M2),
}


def fingers_words(which: str, opening: float) -> str:
    """'about half a finger', 'about 2 fingers', 'a slit'; '' where it is shut or all open."""
    return "" if opening <= 0.0 or opening >= 1.0 else widths_words(opening * WIDE_M[which] / FINGER_M)


def widths_words(widths: float) -> str:
    """A number of finger widths as a hand takes it: quarters, below them a slit."""
    if widths < LEAST_FINGER:
        return "a slit"
    quarters = max(1, round(4.0 * widths))
    if quarters < 4:
        return f"about {('a quarter of a', 'half a', 'three quarters of a')[quarters - 1]} finger"
    return f"about {quarters / 4:g} finger{'s' if quarters > 4 else ''}"


def set_words(which: str, opening: float) -> str:
    """'Set the top vent 17 % open, about half a finger', 'Shut the bottom vent', 'Open the top vent fully'."""
    if opening <= 0.0:
        return f"Shut the {which} vent"
    if opening >= 1.0:
        return f"Open the {which} vent fully"
    return f"Set the {which} vent {say_opening(opening)} open, {fingers_words(which, opening)} wide"
