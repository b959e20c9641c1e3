"""What the stone's face is when the bead under it reads so much: learnt from hand-held infrared readings.

A bead in a hole under the face lags it and is shielded by stone; the difference is tens of degC in a climb. The person
points an infrared thermometer at the face and notes what it says as the mark `stone_face`; its emissivity must be set
(0.95 for cordierite and most ceramics, from memory). Until one is noted the difference is 0 with a wide band.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt

UNKNOWN_C = 20.0  # before any reading, 1 sigma
READING_C = 8.0  # an infrared reading by hand: spot, angle, emissivity, and the moment of the climb
EMISSIVITY = 0.95


@dataclass(frozen=True)
class FaceOverBead:
    """Face less bead in degC, its 80 % half width, and from how many readings."""

    over_c: float
    half_c: float
    count: int

    def face_c(self, bead_c: float) -> tuple[float, float, float]:
        """Low, middle, high of the face: an estimate, never a measurement."""
        mid = bead_c + self.over_c
        return mid - self.half_c, mid, mid + self.half_c


def learn(pairs: Iterable[tuple[float, float]]) -> FaceOverBead:
    """From (face_c noted, bead_c read then): normal prior around 0, normal readings."""
    differences = [face_c - bead_c for face_c, bead_c in pairs]
    precision = 1.0 / UNKNOWN_C**2 + len(differences) / READING_C**2
    over_c = sum(differences) / READING_C**2 / precision
    # What is left even of the best mean: the difference moves with the climb.
    spread_c = sqrt(1.0 / precision + (READING_C / 2.0) ** 2)
    return FaceOverBead(over_c, 1.2816 * spread_c, len(differences))
