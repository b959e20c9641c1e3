"""Half the width: the whole controller in 32-bit floats for 24 hours beside the same in 64 bits."""

from __future__ import annotations

import numpy as np

from tests.core.cooker import Run

HOURS = 24


def test_32_bit_floats_hold_the_same_air_and_temperature_for_a_day():
    """The same samples to both: duty within 0.002, temperatures within 0.05 degC."""
    wide, narrow = Run().hold(), Run().hold()
    worst_duty = worst_c = 0.0
    for k in range(HOURS * 3600):
        if k in (9 * 3600, 14 * 3600):
            target_c = 135.0 if k < 10 * 3600 else 107.0
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
    assert worst_duty <= 0.002
    assert worst_c <= 0.05
