"""Readings and events packed into 48 bytes each, so that a long outage fits into the memory.

JSON of one reading is about 500 bytes; it is made at the moment of sending. Little-endian, no
padding. Temperatures travel as steps of 0.02 degC in 16 bits; a missing one carries its fault in
the same 16 bits, so that a value and a fault can never be told together.
"""

import struct

from emberboard.core.words import EVENTS, FAULTS, MODES, PHASES, WHYS

SIZE = 48
MOST_PROBES = 4
MOST_TEXT = 27  # bytes of UTF-8 in an event

UNKNOWN = "?"  # a name that this release does not know

# seq, ms (32 + 16 bits), kind and probes, mode and phase, why and lid; pit, stone, 4 cores, board;
# target, reference; duty, drive, opening; p, i, d, ff; fire
READING = "<IIHBBBhhhhhhhhhHHHhhhhH"
# seq, ms (32 + 16 bits), kind, event; then two floats (or two whole numbers), text length, text
_EVENT = "<IIHBBffB27s"
_RANGE = "<IIHBBIIB27s"

_IS_EVENT = 0x80
_IS_RANGE = 0x40
_STEPS_PER_DEGREE = 50
MISSING = -32768  # plus the number of the fault, 0 to 255
LOWEST = -32512  # -650.24 degC
NO_OPENING = 65535
_LOST = EVENTS.index("lost")


def _index(names, name, unknown):
    """The number of a name; `unknown` for one that is not in the list: control never stops."""
    try:
        return names.index(name)
    except ValueError:
        return unknown


def name_of(names, index):
    """The name with this number."""
    return names[index] if index < len(names) else UNKNOWN


def _whole(value, scale, low, high):
    """`value` in steps of 1/scale, kept inside low..high; 0 for none or not-a-number."""
    if value is None or value != value:
        return 0
    return round(max(low, min(high, value * scale)))


def _degrees(value, fault=""):
    """A temperature in steps of 0.02 degC, or the fault that it has instead."""
    if fault:
        return MISSING + _index(FAULTS, fault, 255)
    if value is None:
        return MISSING
    if not -1e9 < value < 1e9:  # not-a-number, or endless
        return MISSING + FAULTS.index("nan")
    return _whole(value, _STEPS_PER_DEGREE, LOWEST, 32767)


def _share(value):
    return _whole(value, 10000, 0, 65534)


def _term(value):
    """A term of the controller in steps of 1/5000 of full air, -6.55 to 6.55."""
    return _whole(value, 5000, -32768, 32767)


def _core(inputs, index):
    """Food probe `index` of the inputs, or nothing where there is none."""
    if index >= len(inputs.core_c):
        return MISSING
    return _degrees(inputs.core_c[index], inputs.core_fault[index])


def pack_reading(buf, offset, seq, ms, outputs, inputs):
    """Write one reading of 47 bytes at `offset`; `ms` is the board's uptime."""
    struct.pack_into(
        READING,
        buf,
        offset,
        seq,
        ms & 0xFFFFFFFF,
        ms >> 32,
        min(len(inputs.core_c), MOST_PROBES),
        _index(MODES, outputs.mode, 15) << 4 | _index(PHASES, outputs.phase, 15),
        _index(WHYS, outputs.why, 127) | (0x80 if outputs.lid_open else 0),
        _degrees(inputs.pit_c, inputs.pit_fault),
        _degrees(inputs.stone_c, inputs.stone_fault),
        _core(inputs, 0),
        _core(inputs, 1),
        _core(inputs, 2),
        _core(inputs, 3),
        _degrees(inputs.board_c),
        _degrees(outputs.target_c),
        _degrees(outputs.ref_c),
        _share(outputs.duty),
        _share(outputs.drive),
        NO_OPENING if outputs.opening is None else _share(outputs.opening),
        _term(outputs.p),
        _term(outputs.i),
        _term(outputs.d),
        _term(outputs.ff),
        _whole(outputs.fire, 1000, 0, 65535),
    )


def _short(text):
    """Text as at most 27 bytes, never cut inside a letter."""
    raw = text.encode()[:MOST_TEXT]
    while raw:
        try:
            str(raw, "utf-8")
            return raw
        except (ValueError, RuntimeError):
            raw = raw[:-1]
    return raw


def _float(value):
    """A number for the record; not-a-number stands for none."""
    return float("nan") if value is None else float(value)


def pack_event(buf, offset, seq, ms, kind, value=None, limit=None, text=""):
    """Write one event of 48 bytes at `offset`; value and limit may be None."""
    raw, event = _short(text), _index(EVENTS, kind, 255)
    head = (seq, ms & 0xFFFFFFFF, ms >> 32)
    if event == _LOST:  # sequence numbers do not fit into a 32-bit float
        flags, layout, numbers = _IS_EVENT | _IS_RANGE, _RANGE, (value, limit)
    else:
        flags, layout, numbers = _IS_EVENT, _EVENT, (_float(value), _float(limit))
    struct.pack_into(layout, buf, offset, *head, flags, event, *numbers, len(raw), raw)


def seq_ms(buf, offset):
    """(seq, uptime in ms) of the record at `offset`."""
    seq, low, high = struct.unpack_from("<IIH", buf, offset)
    return seq, high << 32 | low


def is_event(buf, offset):
    return bool(buf[offset + 10] & _IS_EVENT)


def unpack(buf, offset):
    """The record at `offset` as the JSON object of the wire, without boot and oldest."""
    return _unpack_event(buf, offset) if is_event(buf, offset) else _unpack_reading(buf, offset)


def _celsius(steps):
    """(degC or None, fault) from a packed temperature."""
    if steps >= LOWEST:
        return steps / _STEPS_PER_DEGREE, ""
    return None, name_of(FAULTS, steps - MISSING)


def _unpack_reading(buf, offset):
    got = struct.unpack_from(READING, buf, offset)
    pit_c, pit_fault = _celsius(got[6])
    stone_c, stone_fault = _celsius(got[7])
    cores = [_celsius(steps) for steps in got[8 : 8 + got[3]]]
    return {
        "seq": got[0],
        "ms": got[2] << 32 | got[1],
        "mode": name_of(MODES, got[4] >> 4),
        "phase": name_of(PHASES, got[4] & 15),
        "why": name_of(WHYS, got[5] & 127),
        "lid_open": bool(got[5] & 128),
        "pit_c": pit_c,
        "pit_fault": pit_fault,
        "stone_c": stone_c,
        "stone_fault": stone_fault,
        "core_c": [value for value, _ in cores],
        "core_fault": [fault for _, fault in cores],
        "board_c": _celsius(got[12])[0],
        "target_c": _celsius(got[13])[0],
        "ref_c": _celsius(got[14])[0],
        "duty": got[15] / 10000,
        "drive": got[16] / 10000,
        "opening": None if got[17] == NO_OPENING else got[17] / 10000,
        "p": got[18] / 5000,
        "i": got[19] / 5000,
        "d": got[20] / 5000,
        "ff": got[21] / 5000,
        "fire": got[22] / 1000,
    }


def _number(value):
    """A number from the record as the wire has it: none instead of not-a-number."""
    return None if value != value or value - value != 0.0 else value


def _unpack_event(buf, offset):
    ranged = buf[offset + 10] & _IS_RANGE
    got = struct.unpack_from(_RANGE if ranged else _EVENT, buf, offset)
    out = {
        "seq": got[0],
        "ms": got[2] << 32 | got[1],
        "kind": name_of(EVENTS, got[4]),
        "value": _number(got[5]),
        "limit": _number(got[6]),
        "text": str(bytes(got[8][: got[7]]), "utf-8"),
    }
    if ranged:
        out["first"], out["last"] = got[5], got[6]
    return out
