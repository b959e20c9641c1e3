"""The spool's second stage: pages of records in flash, for what outlasts the memory or a restart.

A page is one file of at most 4 kB: a header, then records in a row. Pages go round in a ring of
files. Each is written beside and renamed over, and carries a CRC: after a power cut at any byte
there is the old page or the new one, and what is no whole page is passed over.
"""

import os
import struct
from binascii import crc32, hexlify, unhexlify

from emberboard.link import records

PAGES = 48  # 4032 rows: 67 minutes at one a second
ROWS = 84  # 24 + 84 x 48 = 4056 bytes: one block of the flash
FLUSH_ROWS = 21  # the most that a power cut takes with it; four writes a page
REST_TICKS = 60  # after the flash refused
STALL_MS = 10000
LAYOUT = 1

_HEAD = "<HHII4sII"  # layout, rows, number, first seq, boot, uptime at its end in s, CRC-32
_HEAD_SIZE = 24
_ENTRY = "<I4sIII"  # number (0: nothing there), boot, first, end (0: settled), uptime in s
_ENTRY_SIZE = 20


class Pages:
    """Pages 1, 2, 3 ... of this start (`boot`, 4 bytes) and of earlier ones."""

    def __init__(self, boot, folder="spool"):
        self._boot = boot
        self._folder = folder
        self._index = bytearray(PAGES * _ENTRY_SIZE)
        self._head = bytearray(_HEAD_SIZE)
        self.buf = bytearray(records.SIZE)  # the record that is sent next
        self._number = 0  # of the last page written
        self._first = 0  # its first seq
        self._settled = 0  # pages whose files may go
        self._rest = 0
        self._file = None
        self._sending = 0  # number of the page that is sent
        self._at = self._rows = 0
        self._sent_ms = 0
        self._pause_ms = STALL_MS
        self.kept = 0  # rows of this start below it are in flash, or settled
        self.first = None  # the lowest row of this start in flash
        self.failed = 0  # writes that the flash refused
        self._find()

    # ---- the index ---------------------------------------------------------------------------

    def _find(self):
        """What earlier starts left."""
        try:
            os.mkdir(self._folder)
        except OSError:
            pass  # it is there
        for slot in range(PAGES):
            got = self._check(slot)
            if got is not None:
                _, rows, number, first, boot, end_s, _ = got
                self._note(slot, number, boot, first, first + rows, end_s)
                self._number = max(self._number, number)
        self._look()

    def _check(self, slot):
        """The header of a whole page, or None: read to its end, so that half a page is seen."""
        try:
            with open(self._name(slot), "rb") as file:
                file.readinto(self._head)
                got = struct.unpack_from(_HEAD, self._head)
                crc = crc32(memoryview(self._head)[: _HEAD_SIZE - 4])
                if got[0] != LAYOUT or not 0 < got[1] <= ROWS or got[2] % PAGES != slot:
                    return None
                for _ in range(got[1]):
                    if file.readinto(self.buf) != records.SIZE:
                        return None
                    crc = crc32(self.buf, crc)
                return got if crc == got[6] and got[2] else None
        except OSError:
            return None

    def _name(self, slot):
        return "%s/%d" % (self._folder, slot)

    def _entry(self, slot):
        return struct.unpack_from(_ENTRY, self._index, slot * _ENTRY_SIZE)

    def _note(self, slot, *entry):
        struct.pack_into(_ENTRY, self._index, slot * _ENTRY_SIZE, *entry)

    def _look(self):
        """After a change: which page is sent next, and the lowest row of this start."""
        lowest, self.first = 0, None
        for slot in range(PAGES):
            number, boot, first, end, _ = self._entry(slot)
            if end and (not lowest or number < lowest):
                lowest = number
            if end and boot == self._boot and (self.first is None or first < self.first):
                self.first = first
        if lowest != self._sending:
            self._close()
            self._sending, self._at, self._pause_ms = lowest, 0, STALL_MS

    def _close(self):
        if self._file is not None:
            self._file.close()
            self._file = None

    def _settle(self, slot):
        """This page is not needed any more; its file goes when there is nothing to write."""
        number, boot, first, _, end_s = self._entry(slot)
        self._note(slot, number, boot, first, 0, end_s)
        self._settled += 1

    def held(self):
        """Earlier starts that have rows here, oldest first: what the host needs to place them."""
        out = []
        for number in range(max(1, self._number - PAGES + 1), self._number + 1):
            here, boot, first, end, end_s = self._entry(number % PAGES)
            if here != number or not end or boot == self._boot:
                continue
            name = str(hexlify(boot), "ascii")
            if out and out[-1]["boot"] == name:
                out[-1]["next"], out[-1]["end_s"] = end, end_s
            else:
                out.append({"boot": name, "oldest": first, "next": end, "end_s": end_s})
        return out[-8:]

    # ---- writing -----------------------------------------------------------------------------

    def step(self, spool, least=FLUSH_ROWS):
        """One operation on the flash at most: write when `least` rows wait, else tidy up."""
        if self._rest:
            self._rest -= 1
            return
        try:
            start = max(self.kept, spool.oldest)
            if spool.next_seq - start >= least:
                self._write(spool, start)
            elif self._settled:
                self._remove()
        except (OSError, MemoryError):
            self.failed += 1
            self._rest = REST_TICKS

    def _write(self, spool, start):
        """Add to the last page, or begin one at row `start`."""
        slot = self._number % PAGES
        number, first = self._number, self._first
        _, boot, _, open_end, _ = self._entry(slot)
        same = boot == self._boot and open_end == start < first + ROWS
        if not same or spool.next_seq - first > spool.capacity:
            number, first = number + 1, start
            slot = number % PAGES
            self._give_way(slot, spool)
        end = min(spool.next_seq, first + ROWS)
        end_s = spool.ms_of(end - 1) // 1000
        self._put(spool, slot, (LAYOUT, end - first, number, first, self._boot, end_s), end)
        self._note(slot, number, self._boot, first, end, end_s)
        self._number, self._first, self.kept = number, first, end
        self._look()

    def _give_way(self, slot, spool):
        """The ring is full: the page that is here is lost, and that is told."""
        number, boot, first, end, _ = self._entry(slot)
        if end:
            self._note(slot, 0, boot, 0, 0, 0)
            self._look()
            spool.lost(str(hexlify(boot), "ascii"), first, end)
        elif number:
            self._note(slot, 0, boot, 0, 0, 0)
            self._settled -= 1

    def _put(self, spool, slot, head, end):
        """The page's file; one that is being read is closed first."""
        if self._sending == head[2]:
            self._close()
        pieces = spool.pieces(head[3], end)
        struct.pack_into(_HEAD, self._head, 0, *head, 0)
        crc = crc32(memoryview(self._head)[: _HEAD_SIZE - 4])
        for piece in pieces:
            crc = crc32(piece, crc)
        struct.pack_into("<I", self._head, _HEAD_SIZE - 4, crc)
        beside = self._folder + "/new"
        with open(beside, "wb") as file:
            file.write(self._head)
            for piece in pieces:
                file.write(piece)
        os.rename(beside, self._name(slot))

    def _remove(self):
        """Take one settled page away, or an earlier start would send it again after the next."""
        for slot in range(PAGES):
            number, boot, _, end, _ = self._entry(slot)
            if number and not end:
                self._note(slot, 0, boot, 0, 0, 0)
                self._settled -= 1
                os.remove(self._name(slot))
                return

    # ---- sending -----------------------------------------------------------------------------

    @property
    def busy(self):
        """True while there are rows here that the host does not have."""
        return self._sending > 0

    def connected(self):
        """A new connection: the page on its way begins again."""
        self._at, self._pause_ms = 0, STALL_MS

    def next(self, now_ms):
        """(boot, its lowest row here) of the record now in `buf`, to be sent late; or None.

        One page at a time: the next one goes when the host has all of this.
        """
        try:
            file = self._ready(now_ms) if self._sending else None
            if file is None:
                return None
            file.seek(_HEAD_SIZE + self._at * records.SIZE)
            file.readinto(self.buf)
        except OSError:
            self._settle(self._sending % PAGES)
            self._look()
            return None
        return str(hexlify(self._sent_boot), "ascii"), self._oldest()

    def _ready(self, now_ms):
        """The page's file, or None while there is nothing of it to send."""
        slot = self._sending % PAGES
        if self._file is None:
            if self._check(slot) is None:
                raise OSError("a page has gone bad")
            self._file = open(self._name(slot), "rb")
            _, self._sent_boot, first, end, _ = self._entry(slot)
            self._rows = end - first
        if self._at >= self._rows:
            if now_ms - self._sent_ms < self._pause_ms:
                return None
            self._at = 0
            self._pause_ms = min(self._pause_ms * 2, 12 * STALL_MS)
        return self._file

    def _oldest(self):
        return self._entry(self._sending % PAGES)[2]

    def sent(self, now_ms):
        """The record in `buf` was taken by the client."""
        self._at += 1
        self._sent_ms = now_ms

    def ack(self, boot, seq):
        """Rows of `boot` (text) below `seq` are on the host's disk: pages below it may go."""
        if not self._sending:
            return
        try:
            raw = unhexlify(boot)
        except (ValueError, TypeError):
            return
        for slot in range(PAGES):
            _, here, _, end, _ = self._entry(slot)
            if end and here == raw and end <= seq:
                self._settle(slot)
        self._look()
