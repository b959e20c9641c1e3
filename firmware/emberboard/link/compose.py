"""The JSON of a reading, written straight into a buffer that is made once.

A reading goes out every second for weeks. Through a dict and a text it would leave about 2 kB of
garbage each time; this leaves next to nothing. Numbers are whole steps in the record, so that
their decimals are exact.
"""

import struct

from emberboard.core.words import FAULTS, MODES, PHASES, WHYS
from emberboard.link.records import LOWEST, MISSING, NO_OPENING, READING, name_of

LARGEST = 800  # bytes; a reading with every field at its longest has about 550

_COPY = ["%ds" % size for size in range(20)]

# key, place in the record, ten-thousandths in one step
_SHARES = (
    (b',"duty":', 15, 1),
    (b',"drive":', 16, 1),
    (b',"p":', 18, 2),
    (b',"i":', 19, 2),
    (b',"d":', 20, 2),
    (b',"ff":', 21, 2),
    (b',"fire":', 22, 10),
)


class Composer:
    """Makes payloads of readings; each overwrites the one before."""

    def __init__(self):
        self._buf = bytearray(LARGEST)
        self._view = memoryview(self._buf)
        self._end = 0

    def reading(self, buf, offset, boot, oldest, late):
        """The payload of the packed reading at `offset`; good until the next call."""
        got = struct.unpack_from(READING, buf, offset)
        self._end = 0
        self._stamp(got, boot, oldest, late)
        self._words(got)
        self._probe(b',"pit_c":', b',"pit_fault":"', got[6])
        self._probe(b',"stone_c":', b',"stone_fault":"', got[7])
        self._cores(got)
        for key, place in ((b',"board_c":', 12), (b',"target_c":', 13), (b',"ref_c":', 14)):
            self._text(key)
            self._celsius(got[place])
        for key, place, step in _SHARES:
            self._text(key)
            self._fixed(got[place] * step, 10000)
        self._text(b',"opening":')
        if got[17] == NO_OPENING:
            self._text(b"null")
        else:
            self._fixed(got[17], 10000)
        self._text(b"}")
        return self._view[: self._end]

    def _stamp(self, got, boot, oldest, late):
        self._text(b'{"boot":"')
        self._word(boot)
        self._text(b'","seq":')
        self._whole(got[0])
        self._text(b',"ms":')
        self._whole(got[2] << 32 | got[1])
        self._text(b',"oldest":')
        self._whole(oldest)
        if late:
            self._text(b',"late":true')

    def _words(self, got):
        self._text(b',"mode":"')
        self._word(name_of(MODES, got[4] >> 4))
        self._text(b'","phase":"')
        self._word(name_of(PHASES, got[4] & 15))
        self._text(b'","why":"')
        self._word(name_of(WHYS, got[5] & 127))
        self._text(b'","lid_open":')
        self._text(b"true" if got[5] & 128 else b"false")

    def _probe(self, key, fault_key, steps):
        self._text(key)
        self._celsius(steps)
        self._text(fault_key)
        self._fault(steps)
        self._text(b'"')

    def _cores(self, got):
        self._text(b',"core_c":[')
        for place in range(8, 8 + got[3]):
            if place > 8:
                self._text(b",")
            self._celsius(got[place])
        self._text(b'],"core_fault":[')
        for place in range(8, 8 + got[3]):
            self._text(b',"' if place > 8 else b'"')
            self._fault(got[place])
            self._text(b'"')
        self._text(b"]")

    # ---- values ------------------------------------------------------------------------------

    def _celsius(self, steps):
        if steps < LOWEST:
            self._text(b"null")
        else:
            self._fixed(steps * 2, 100)

    def _fault(self, steps):
        if steps < LOWEST:
            self._word(name_of(FAULTS, steps - MISSING))

    def _fixed(self, number, unit):
        """`number` / `unit` with all its decimals; unit is 100 or 10000."""
        if number < 0:
            self._text(b"-")
            number = -number
        self._whole(number // unit)
        self._text(b".")
        if unit == 10000:
            self._pair(number // 100 % 100)
        self._pair(number % 100)

    def _whole(self, number):
        """A whole number from 0 on."""
        if number >= 100:
            self._whole(number // 100)
            self._pair(number % 100)
        elif number >= 10:
            self._pair(number)
        else:
            self._buf[self._end] = 48 + number
            self._end += 1

    def _pair(self, number):
        """Two digits."""
        self._buf[self._end] = 48 + number // 10
        self._buf[self._end + 1] = 48 + number % 10
        self._end += 2

    def _word(self, text):
        """Letters of an ASCII text that needs no escape."""
        for letter in text:
            self._buf[self._end] = ord(letter)
            self._end += 1

    def _text(self, raw):
        """Bytes, copied without a slice: that would be an object."""
        struct.pack_into(_COPY[len(raw)], self._buf, self._end, raw)
        self._end += len(raw)
