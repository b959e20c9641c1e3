"""The driver against the data sheet's words (Maxim 19-5793, Tables 4 and 5) and against ITS-90."""

from __future__ import annotations

import pytest
from thermocouple_its90 import TypeK

from emberboard.drivers.max31855 import Max31855, cold_from, hot_from
from tests.drivers.bench_wires import Words

ORACLE = TypeK

# Whole frames built from the rows of Table 4 (hot) and Table 5 (cold).
FRAMES = [
    (1600.0, 127.0, 0x64007F00),
    (1000.0, 100.5625, 0x3E806490),
    (100.75, 25.0, 0x064C1900),
    (25.0, 25.0, 0x01901900),
    (0.0, 0.0, 0x00000000),
    (-0.25, -0.0625, 0xFFFCFFF0),
    (-1.0, -1.0, 0xFFF0FF00),
    (-250.0, -55.0, 0xF060C900),
]


def frame(hot_c, cold_c):
    """The word that the chip sends for what its straight line makes of the voltage."""
    return (round(hot_c * 4) & 0x3FFF) << 18 | (round(cold_c * 16) & 0xFFF) << 4


def chip(word):
    wires = Words(word.to_bytes(4, "big"))
    return Max31855(wires, wires.cs)


@pytest.mark.parametrize(("hot_c", "cold_c", "word"), FRAMES)
def test_a_frame_of_the_data_sheet(hot_c, cold_c, word):
    word = word.to_bytes(4, "big")
    assert hot_from(word[0], word[1]) == hot_c
    assert cold_from(word[2], word[3]) == cold_c


def test_the_straight_line_is_taken_out_again():
    # Shown 300.00 with the board at 25.00: 275 * 41.276 uV + E(25) is 303.438 degC by ITS-90.
    made = chip(frame(300.0, 25.0))
    hot_c, fault = made.read()
    assert (fault, made.cold_c) == ("", 25.0)
    assert hot_c == pytest.approx(303.438, abs=0.05)  # the band of the inverse polynomial


@pytest.mark.parametrize("cold_c", [-10.0, 0.0, 25.0, 40.0, 60.0])
@pytest.mark.parametrize("true_c", [-20, 57, 110, 225, 300, 400, 600, 1000])
def test_what_a_real_thermocouple_gives_is_read_right(true_c, cold_c):
    shown_c = cold_c + (ORACLE.emf(true_c) - ORACLE.emf(cold_c)) / 41.276e-3
    hot_c, fault = chip(frame(shown_c, cold_c)).read()
    assert fault == ""
    # Half of the chip's step of 0.25 degC, up to 1.3 times that where the couple is weak, and the inverse's band.
    assert hot_c == pytest.approx(true_c, abs=0.23)


@pytest.mark.parametrize(
    ("word", "fault"),
    [
        (0x00011901, "open"),
        (0x00011902, "short_gnd"),
        (0x00011904, "short_vcc"),
        (0x00000000, "bus_low"),
        (0xFFFFFFFF, "bus_high"),
        (0x01921900, "bus_high"),  # D17
        (0x01901908, "bus_high"),  # D3
        (0x01901901, "bus_high"),  # a single fault without the sum bit
        (0x01911900, "bus_high"),  # the sum bit without a single fault
        (frame(1600.0, 25.0), "range"),
        (frame(25.0, 126.0), "cold_junction"),
    ],
)
def test_a_bad_word_is_a_fault_and_no_number(word, fault):
    made = chip(word)
    assert made.read() == (None, fault)
    assert made.cold_c is None
    assert made.configure() == fault


def test_the_wire_is_let_go_after_each_reading():
    wires = Words(frame(121.0, 25.0).to_bytes(4, "big"))
    made = Max31855(wires, wires.cs)
    made.start()
    made.read()
    assert wires.cs.level == 1


def test_other_types_have_other_chips():
    with pytest.raises(ValueError, match="made for K"):
        Max31855(Words(bytes(4)), Words(bytes(4)).cs, kind="N")
