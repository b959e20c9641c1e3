"""The adapter plate: both drawings are of the same plate, and it is one that can be made."""

from __future__ import annotations

import re
from dataclasses import replace
from importlib.util import find_spec
from math import pi

import pytest

from hardware import plate

MADE = plate.Measures()


def test_the_drawings_are_those_of_the_measures():
    """If this fails: python -m hardware.plate."""
    assert (plate.HERE / "plate.svg").read_text() == plate.svg(MADE)
    assert (plate.HERE / "plate.dxf").read_text() == plate.dxf(MADE)


def test_the_plate_can_be_made():
    assert plate.troubles(MADE) == []


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"tube": 60.0}, "tube and tube screw"),
        ({"height": 50.0}, "does not cover the opening"),
        ({"intake_width": 150.0}, "over the opening"),
        ({"flange": 120.0}, "to the edge"),
    ],
)
def test_a_plate_that_cannot_be_made_is_named(change, what):
    assert any(what in trouble for trouble in plate.troubles(replace(MADE, **change)))


def pairs(text):
    """Group code and value, two lines each: what a DXF file is."""
    lines = text.splitlines()
    assert len(lines) % 2 == 0
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def test_both_drawings_have_the_same_circles():
    radii = [float(found) for found in re.findall(r'<circle [^>]*r="([\d.]+)"', plate.svg(MADE))]
    entity, in_dxf = "", []
    for code, value in pairs(plate.dxf(MADE)):
        entity = value if code == 0 else entity
        if code == 40 and entity == "CIRCLE":
            in_dxf.append(float(value))
    assert in_dxf == pytest.approx(radii, abs=0.01)


def test_the_slots_close():
    ends = {}
    entity, x = "", 0.0
    for code, value in pairs(plate.dxf(MADE)):
        entity = value if code == 0 else entity
        if entity == "LINE" and code in (10, 11):
            x = float(value)
        if entity == "LINE" and code in (20, 21):
            ends[x, float(value)] = ends.get((x, float(value)), 0) + 1
    slot = MADE.slots()[0]
    reach = (slot.length - slot.width) / 2
    for side in (slot.width / 2, -slot.width / 2):
        assert (slot.x + reach, side) in ends  # where the arc ends, a line begins


def test_what_is_cut_out_is_the_sum_of_its_holes():
    # By hand: tube 42, four 4.5, one 5.2, two 3.4, two slots of 20 x 6.5 with round ends.
    by_hand = pi / 4 * (42**2 + 4 * 4.5**2 + 5.2**2 + 2 * 3.4**2) + 2 * (pi / 4 * 6.5**2 + 13.5 * 6.5)
    assert plate.cut_mm2(MADE) == pytest.approx(by_hand)


if find_spec("ezdxf"):

    def test_another_program_reads_the_dxf():
        import ezdxf

        kinds = [entity.dxftype() for entity in ezdxf.readfile(plate.HERE / "plate.dxf").modelspace()]
        assert (kinds.count("CIRCLE"), kinds.count("LINE"), kinds.count("ARC")) == (8, 8, 4)
