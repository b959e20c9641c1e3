"""Run by MicroPython: pages of the spool on its own littlefs, over a flash whose power fails at a chosen byte.

Arguments: folder of the firmware, every how many bytes to cut. Prints what was found, one word and number a line.
"""

import sys

sys.path.insert(0, sys.argv[1])
import vfs

from emberboard.link import pages, records
from emberboard.link.spool import Spool

BLOCK = 4096
BLOCKS = 40
POWER_IS_OUT = -5
BOOT, NEXT_BOOT = b"\xaa\xbb\xcc\xdd", b"\x11\x22\x33\x44"


class Flash:
    """NOR flash by the block: erased to ones, programmed byte by byte until `left` bytes have been written."""

    def __init__(self, data):
        self.data = bytearray(data)
        self.left = -1
        self.done = 0
        self.dead = False

    def readblocks(self, block, buf, offset=0):
        if self.dead:
            return POWER_IS_OUT
        start = block * BLOCK + offset
        buf[:] = memoryview(self.data)[start : start + len(buf)]
        return 0

    def writeblocks(self, block, buf, offset=0):
        if self.dead:
            return POWER_IS_OUT
        start = block * BLOCK + offset
        count = self._granted(len(buf))
        self.data[start : start + count] = buf[:count]
        return POWER_IS_OUT if self.dead else 0

    def ioctl(self, op, arg):
        if op == 4:
            return BLOCKS
        if op == 5:
            return BLOCK
        if op == 6 and not self.dead:  # an erase that is cut leaves half a block of ones
            whole = self._granted(1)
            start, size = arg * BLOCK, BLOCK if whole else BLOCK // 2
            self.data[start : start + size] = b"\xff" * size
        return POWER_IS_OUT if self.dead else 0

    def _granted(self, count):
        self.done += count
        if self.left < 0:
            return count
        self.dead = count > self.left
        count = min(count, self.left)
        self.left -= count
        return count


def mount(flash):
    vfs.mount(vfs.VfsLfs2(flash, progsize=32, readsize=32, lookahead=32), "/flash")


def board(boot, rows):
    """A spool of numbered events with its pages on the mounted flash."""
    spool = Spool(600, boot.hex())
    spool.pages = pages.Pages(boot, "/flash/spool")
    for seq in range(rows):
        spool.add_event(seq * 1000, "lid_open", seq, None, f"row {seq}")
    return spool


def found():
    """Numbers of the rows that a board finds at its next start; each must be what was written."""
    held = pages.Pages(NEXT_BOOT, "/flash/spool")
    seqs = []
    while held.busy:
        row = held.next(len(seqs))
        if row is None:
            held.ack("aabbccdd", seqs[-1] + 1)
            continue
        got = records.unpack(held.buf, 0)
        if row[0] != "aabbccdd" or got["value"] != got["seq"] or got["text"] != f"row {got['seq']}":
            raise ValueError(f"a corrupt row: {got}")
        seqs.append(got["seq"])
        held.sent(0)
    return seqs


def prepared(rows):
    """A flash with pages of the first `rows` rows."""
    flash = Flash(b"\xff" * (BLOCK * BLOCKS))
    vfs.VfsLfs2.mkfs(flash, progsize=32, readsize=32, lookahead=32)
    mount(flash)
    spool = board(BOOT, 0)
    for seq in range(rows):
        spool.add_event(seq * 1000, "lid_open", seq, None, f"row {seq}")
        spool.keep()
    vfs.umount("/flash")
    return flash


def cut_at(before, rows, left):
    """Write one page with the power failing after `left` bytes; rows found afterwards, bytes it took."""
    flash = Flash(before.data)
    mount(flash)
    spool = board(BOOT, rows)
    held = spool.pages
    held.kept = rows - pages.FLUSH_ROWS
    held._first = (held.kept - 1) // pages.ROWS * pages.ROWS
    flash.left, flash.done = left, 0
    spool.keep()
    took = flash.done
    vfs.umount("/flash")
    mount(Flash(flash.data))
    seqs = found()
    vfs.umount("/flash")
    return seqs, took


every = int(sys.argv[2])
for rows in (pages.FLUSH_ROWS * 2, pages.ROWS + pages.FLUSH_ROWS):  # one page grows; a second one begins
    before = prepared(rows - pages.FLUSH_ROWS)
    seqs, took = cut_at(before, rows, -1)
    print("whole", rows, seqs == list(range(rows)))
    cuts = old = new = 0
    for left in range(0, took, every):
        seqs, _ = cut_at(before, rows, left)
        cuts += 1
        old += seqs == list(range(rows - pages.FLUSH_ROWS))
        new += seqs == list(range(rows))
    print("cuts", cuts)
    print("neither", cuts - old - new)
    print("old", old)
    print("new", new)
