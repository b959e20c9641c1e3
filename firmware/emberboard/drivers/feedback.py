"""What analogue pins say beside temperatures: where the damper stands, and what the 12 V are.

The damper's place comes from the servo's own pot, or from two end switches on a ladder: the shut
end ties the pin to 0 V, the open end to the supply, and between them two equal resistors hold it
in the middle. Beside the place goes whether it is known at all: a pot's wire that is off reads far
outside the ends, which is no place and not "stuck".
"""

READS = 4
FULL_SCALE = 65535
OUTSIDE = 0.08  # of the way between the ends: beyond it the wire is off
END_SHARE = 0.25
REFERENCE_V = 3.3
DIVIDER = 5.7  # 47 kohm over 10 kohm


def _share(adc):
    """Mean of a few samples, 0..1 of the full scale."""
    total = 0
    for _ in range(READS):
        total += adc.read_u16()
    return total / (READS * FULL_SCALE)


class Pot:
    """`shut` and `opened` are what the pot reads at its ends, in counts of 65,535."""

    def __init__(self, adc, shut, opened):
        self._adc = adc
        self._shut = shut / FULL_SCALE
        self._span = (opened - shut) / FULL_SCALE

    def read(self):
        """(0..1 from shut to open, True), or (None, False) when no place fits."""
        at = (_share(self._adc) - self._shut) / self._span
        if not -OUTSIDE <= at <= 1.0 + OUTSIDE:
            return None, False
        return min(1.0, max(0.0, at)), True


class Ends:
    """Two end switches on one pin."""

    def __init__(self, adc):
        self._adc = adc

    def read(self):
        """(0.0 at the shut end, 1.0 at the open one, None on the way; True)."""
        share = _share(self._adc)
        if share <= END_SHARE:
            return 0.0, True
        return 1.0 if share >= 1.0 - END_SHARE else None, True


class Supply:
    """The 12 V behind 47 kohm over 10 kohm; good to 5 % or so without a calibration."""

    def __init__(self, adc):
        self._adc = adc

    def read(self):
        """Volt."""
        return _share(self._adc) * REFERENCE_V * DIVIDER
