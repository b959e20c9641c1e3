"""Packed readings and events, and what comes out of them again."""

import sys

sys.path.insert(0, sys.argv[1])

from emberboard.core.signals import Inputs, Outputs
from emberboard.link import records


def show(value):
    """A value as text that does not depend on an interpreter's way with dicts and floats."""
    if isinstance(value, float):
        return f"{value:.6f}"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {show(value[key])}" for key in sorted(value)) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(show(entry) for entry in value) + "]"
    return value if isinstance(value, str) else repr(value)


def reading(k):
    """Readings that go through every range: faults, limits, none, not-a-number."""
    inputs, outputs = Inputs(2), Outputs()
    inputs.pit_c = [121.04, None, -40.0, 650.2, float("nan")][k % 5]
    inputs.pit_fault = "open" if inputs.pit_c is None else ""
    inputs.core_c = [57.0 + 0.013 * k, None]
    inputs.core_fault = ["", "short"]
    inputs.board_c = 25.0 + k
    outputs.duty = 0.1 * (k % 11)
    outputs.drive = 0.07 * (k % 13)
    outputs.opening = None if k % 3 else 0.25
    outputs.mode, outputs.phase, outputs.why = "hold", "slow", "steady"
    outputs.p, outputs.i, outputs.d = -0.5 + 0.1 * k, 0.3, -9.0
    outputs.lid_open = bool(k % 2)
    return outputs, inputs


buf = bytearray(2 * records.SIZE)
for k in range(15):
    records.pack_reading(buf, 0, k, 1000 * k + (1 << 33), *reading(k))
    records.pack_event(buf, records.SIZE, k, 5, "pull", 57.25 if k % 2 else None, None, f"pièce {k}")
    print(bytes(buf))
    print(show(records.unpack(buf, 0)))
    print(show(records.unpack(buf, records.SIZE)))
