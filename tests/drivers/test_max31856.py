"""The driver against register words from the data sheet and against a chip simulated from it."""

from __future__ import annotations

import pytest
from thermocouple_its90 import TypeK

from emberboard.drivers.max31856 import Max31856, cold_from, hot_from
from emberdraft.virtual.max31856_chip import Max31856Chip, cold_code, hot_code
from tests.drivers.bench_wires import ChipBus, Words

# MAX31856 data sheet (Maxim 19-7534), linearised thermocouple temperature: value and 24-bit word.
# The rows are the data sheet's table, from memory; the words were computed from the LSB it states.
HOT_WORDS = [
    (1600.0, 0x640000),
    (1000.0, 0x3E8000),
    (100.9375, 0x064F00),
    (25.0, 0x019000),
    (0.0625, 0x000100),
    (0.0, 0x000000),
    (-0.0625, 0xFFFF00),
    (-0.25, 0xFFFC00),
    (-1.0, 0xFFF000),
    (-250.0, 0xF06000),
]
# The same for the cold junction: 14 bits of 1/64 degC.
COLD_WORDS = [
    (127.984375, 0x7FFC),
    (127.0, 0x7F00),
    (64.0, 0x4000),
    (25.0, 0x1900),
    (0.5, 0x0080),
    (0.0, 0x0000),
    (-0.5, 0xFF80),
    (-1.0, 0xFF00),
    (-25.0, 0xE700),
    (-55.0, 0xC900),
]
CONVERSION_US = 185_000
POWER_ON = bytes.fromhex("00 03 FF 7F C0 7F FF 80 00 00 00 00 00 00 00 00")


@pytest.fixture
def bus():
    return ChipBus(Max31856Chip(lambda: 121.0, lambda: 25.0))


@pytest.fixture
def driver(bus):
    made = Max31856(bus, bus.cs)
    assert made.configure() == ""
    return made


def convert(driver, bus):
    driver.start()
    bus.now_us += CONVERSION_US
    return driver.read()


@pytest.mark.parametrize(("temp_c", "word"), HOT_WORDS)
def test_a_hot_word_is_its_temperature(temp_c, word):
    assert hot_from(word >> 16, word >> 8 & 255, word & 255) == temp_c


@pytest.mark.parametrize(("temp_c", "word"), HOT_WORDS)
def test_the_simulated_chip_writes_the_same_hot_words(temp_c, word):
    assert hot_code(temp_c) == word


@pytest.mark.parametrize(("temp_c", "word"), COLD_WORDS)
def test_a_cold_word_is_its_temperature(temp_c, word):
    assert cold_from(word >> 8, word & 255) == temp_c


@pytest.mark.parametrize(("temp_c", "word"), COLD_WORDS)
def test_the_simulated_chip_writes_the_same_cold_words(temp_c, word):
    assert cold_code(temp_c) == word


def test_the_layout_of_the_855_would_be_far_off():
    # A known mistake: reading this chip as a MAX31855 (14 bits of 0.25 degC from bit 18 of 32).
    word = 0x064F00 << 8
    as_855 = (word >> 18) * 0.25
    assert abs(as_855 - 100.9375) < 0.2  # it looks right there, so it is caught by sign and by resolution
    below_zero = 0xFFFF00 << 8
    assert (below_zero >> 18) * 0.25 == 4095.75
    assert hot_from(0xFF, 0xFF, 0x00) == -0.0625


def test_a_chip_after_power_on_has_the_data_sheets_registers():
    # Data sheet, Table 6: CR0 00h, CR1 03h, MASK FFh, CJHF 7Fh, CJLF C0h, LTHFT 7FFFh, LTLFT 8000h.
    assert bytes(Max31856Chip(lambda: 0.0, lambda: 0.0).registers) == POWER_ON


def test_a_reading_is_the_junction_and_the_board(driver, bus):
    assert convert(driver, bus) == (121.0, "")
    assert driver.cold_c == 25.0


def test_settings_are_on_the_chip(driver, bus):
    # CR0: open check 01, 50 Hz; CR1: type K, one sample.
    assert bus.chip.registers[0] == 0x11
    assert bus.chip.registers[1] == 0x03


def test_sixty_hertz_is_asked_for(bus):
    Max31856(bus, bus.cs, mains_hz=60).configure()
    assert bus.chip.registers[0] == 0x10


def test_a_conversion_is_pending_for_its_time_and_no_longer(driver, bus):
    driver.start()
    bus.now_us += 168_000  # 169 ms at 50 Hz
    assert driver.pending()
    bus.now_us += 2_000
    assert not driver.pending()


def test_a_reading_before_its_time_is_late_and_no_number(driver, bus):
    driver.start()
    bus.now_us += 100_000
    assert driver.read() == (None, "late")
    assert driver.cold_c is None


def test_a_chip_that_lost_power_is_refused_then_set_up_again(driver, bus):
    convert(driver, bus)
    bus.chip.power_cycle()
    assert driver.read() == (None, "absent")
    assert convert(driver, bus) == (121.0, "")


@pytest.mark.parametrize(("level", "fault"), [("low", "bus_low"), ("high", "bus_high")])
def test_a_stuck_line_is_never_a_temperature(driver, bus, level, fault):
    bus.stuck = level
    assert driver.configure() == fault
    assert convert(driver, bus) == (None, fault)


@pytest.mark.parametrize(("wiring", "fault"), [("open", "open"), ("short_vcc", "short_vcc")])
def test_a_bad_wire_is_its_fault(driver, bus, wiring, fault):
    bus.chip.wiring = wiring
    assert convert(driver, bus) == (None, fault)
    bus.chip.wiring = ""
    assert convert(driver, bus) == (121.0, "")


def status_of(**changes):
    """All registers as our settings leave them, 121 degC and 25 degC, with some words changed."""
    words = bytearray.fromhex("11 03 FF 55 D8 7F FF 80 00 00 19 00 07 90 00 00")
    for place, value in changes.items():
        words[{"cr0": 0, "low": 14, "sr": 15, "hot": 12}[place]] = value
    return words


# Fault bits of the status register, data sheet Table 6: SR.
@pytest.mark.parametrize(
    ("sr", "fault"),
    [
        (0x00, ""),
        (0x01, "open"),
        (0x02, "short_vcc"),
        (0x04, "range"),
        (0x08, "range"),
        (0x10, "cold_junction"),
        (0x20, "cold_junction"),
        (0x40, "range"),
        (0x80, "cold_junction"),
        (0x81, "open"),
    ],
)
def test_each_status_bit_has_its_fault_and_takes_the_number_away(sr, fault):
    wires = Words(status_of(sr=sr))
    value_c, told = Max31856(wires, wires.cs).read()
    assert told == fault
    assert (value_c is None) == bool(fault)


def test_bits_that_are_always_zero_must_be_zero():
    wires = Words(status_of(low=0x1F))
    assert Max31856(wires, wires.cs).read() == (None, "bus_high")


def test_hotter_than_the_thermocouple_goes_is_refused():
    wires = Words(status_of(hot=0x60))  # about 1,536 degC, type K ends at 1,372
    assert Max31856(wires, wires.cs).read() == (None, "range")


def test_a_reversed_thermocouple_reads_below_the_board_when_it_is_heated(driver, bus):
    bus.chip.wiring = "reversed"
    value_c, fault = convert(driver, bus)
    assert fault == ""
    # Oracle: thermocouple-its90 (NIST ITS-90 functions): the chip adds E(25) to the turned-round emf. Our
    # simulated chip mirrors degrees instead of millivolts, which is within 12 degC of it here.
    assert value_c == pytest.approx(TypeK.temperature(-TypeK.emf(121.0, reference=25.0), reference=25.0), abs=12.0)
    assert value_c < 25.0


@pytest.mark.parametrize("wrong", [{"kind": "Q"}, {"mains_hz": 55}])
def test_what_the_chip_cannot_do_is_refused(bus, wrong):
    with pytest.raises(ValueError, match="would be right"):
        Max31856(bus, bus.cs, **wrong)
