"""Several probes on one analogue pin: a switch with four ways (74HC4052 or 4051) before it.

The probes' capacitors sit before the switch, one each, and none behind it: the first sample after
a change is thrown away, and the next is the probe's own.
"""


class Channel:
    """Way `number` of 0..3; `selects` are the switch's two address pins, lower bit first."""

    def __init__(self, adc, selects, number):
        self._adc = adc
        self._selects = selects
        self._number = number

    def read_u16(self):
        """One sample of this way, in counts."""
        self._selects[0].value(self._number & 1)
        self._selects[1].value(self._number >> 1)
        self._adc.read_u16()
        return self._adc.read_u16()
