"""Is every file still as it was put here? Looked at once, before the application is built.

`emberdraft board deploy` puts a list beside this file: a line for each file, its CRC-32 (IEEE
802.3) and its name, and a last line with the check of all lines before it. A tree that was copied
by hand has no list, because whoever develops changes files all day: it runs, and says at each
start that it was not checked. One flipped bit does not take a list away; it makes it wrong.
"""

from binascii import crc32

LIST = "sums.txt"
CHUNK = 512


def damage():
    """Names of what is damaged, without folder and ending; None where there is no list."""
    parent = __file__[: -len("emberboard/whole.mpy")]
    if __file__.endswith(".py"):
        parent = __file__[: -len("emberboard/whole.py")]
    for place in (parent + "emberboard/", ""):
        try:
            with open(place + LIST, "rb") as file:
                return _compare(file, parent) if _is_whole(file) else [LIST]
        except OSError:
            continue
    return None


def _is_whole(file):
    """Whether the list's last line is the check of all lines before it, and there are any."""
    total, last = 0, b""
    for line in file:
        total, last = crc32(last, total), line
    return total != 0 and last == b"%08x\n" % total


def _compare(file, parent):
    """Every file against a list that is whole; a line at a time, for memory's sake."""
    wrong = []
    buffer = bytearray(CHUNK)
    file.seek(0)
    for line in file:
        if len(line) < 10:
            break  # the last one
        check, name = str(line, "utf-8").split()
        total = _sum_of(parent + name, buffer)
        if total is None:  # a tree in lib/ has boot.py and main.py in the root
            total = _sum_of(name, buffer)
        if total is None or "%08x" % total != check or _shadowed(parent + name, buffer):
            wrong.append(name.replace("emberboard/", "").split(".")[0])
    return wrong


def _sum_of(path, buffer):
    """CRC-32 of a file, read in pieces; None when it cannot be read."""
    total = 0
    try:
        with open(path, "rb") as file:
            while True:
                count = file.readinto(buffer)
                if not count:
                    return total
                total = crc32(memoryview(buffer)[:count], total)
    except OSError:
        return None


def _shadowed(path, buffer):
    """A source beside a compiled file would be run in its place."""
    return path.endswith(".mpy") and _sum_of(path[:-3] + "py", buffer) is not None
