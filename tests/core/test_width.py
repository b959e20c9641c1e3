"""Half the width: the whole controller in 32-bit floats beside the same in 64 bits, late in a board's first day."""

from __future__ import annotations

import numpy as np

from tests.core.cooker import Run

FIRST_H, HOURS = 17, 7  # the later, the coarser is a clock in 32 bits


def begun() -> Run:
    """A controller that begins to hold when its board has been on for so long."""
    run = Run()
    run.now_ms = FIRST_H * 3600 * 1000
    return run.hold()


def test_32_bit_floats_hold_the_same_air_and_temperature():
    """The same samples to both: duty within 0.0005, temperatures within 0.01 degC; 0.002 and 0.05 for a whole day."""
    wide, narrow = begun(), begun()
    worst_duty = worst_c = 0.0
    for k in range(HOURS * 3600):
        if k in (2 * 3600, 4 * 3600):
            target_c = 135.0 if k < 3 * 3600 else 107.0
            for run in (wide, narrow):
                run.order("target", target_c=target_c, at_cooker=True)
        wide.seconds(1)
        narrow.now_ms = wide.now_ms
        narrow.inputs.pit_c = np.float32(wide.inputs.pit_c)
        narrow.inputs.stone_c = np.float32(wide.inputs.stone_c)
        out = narrow.controller.tick(narrow.now_ms, narrow.inputs)
        worst_duty = max(worst_duty, abs(float(out.duty) - wide.out.duty))
        worst_c = max(worst_c, abs(float(out.pit_f_c) - wide.out.pit_f_c))
    assert isinstance(out.pit_f_c, np.float32)
    assert worst_duty <= 0.0005
    assert worst_c <= 0.01
