"""Stands in for MicroPython's `os`: chance that is the same for the same seed."""

from uos import *

import vb_bus

_state = 0


def urandom(count):
    """Bytes from a 32-bit xorshift (Marsaglia 2003); for repeatable runs, never for secrets."""
    global _state
    if not _state:
        _state = vb_bus.seed or 1
    out = bytearray(count)
    for k in range(count):
        _state ^= (_state << 13) & 0xFFFFFFFF
        _state ^= _state >> 17
        _state ^= (_state << 5) & 0xFFFFFFFF
        out[k] = _state >> 11 & 255
    return bytes(out)
