"""The driver against register words of the data sheet (Microchip DS20005426C, pages 24 to 28)."""

from __future__ import annotations

import pytest

from emberboard.drivers.mcp9600 import Mcp9600, celsius_from

HOT, DELTA, COLD, STATUS, SENSOR, DEVICE, NAME = 0x00, 0x01, 0x02, 0x04, 0x05, 0x06, 0x20

# Equation 5-1: 16 * upper + lower / 16, less 4096 when the sign bit is set.
WORDS = [(1600.0, 0x6400), (25.0, 0x0190), (0.0625, 0x0001), (-0.0625, 0xFFFF), (-200.0, 0xF380)]


class Chip:
    """Registers behind an address; `gone` is a wire that is off."""

    def __init__(self, hot_c=121.0, cold_c=25.0, name=0x41):
        self.registers = {STATUS: b"\x40", SENSOR: b"\x00", DEVICE: b"\x00", NAME: bytes((name,))}
        self.put(HOT, hot_c)
        self.put(DELTA, hot_c - cold_c)
        self.put(COLD, cold_c)
        self.gone = False

    def put(self, register, temp_c):
        self.registers[register] = (round(temp_c * 16) & 0xFFFF).to_bytes(2, "big")

    def readfrom_mem_into(self, address, register, buf):
        self._there(address)
        buf[:] = self.registers[register][: len(buf)]

    def writeto_mem(self, address, register, data):
        self._there(address)
        self.registers[register] = bytes(data)

    def _there(self, address):
        if self.gone or address != 0x60:
            raise OSError(5)


@pytest.fixture
def chip():
    return Chip()


@pytest.fixture
def driver(chip):
    made = Mcp9600(chip, 0x60)
    assert made.configure() == ""
    return made


@pytest.mark.parametrize(("temp_c", "word"), WORDS)
def test_a_word_is_its_temperature(temp_c, word):
    assert celsius_from(word >> 8, word & 255) == temp_c


def test_a_healthy_chip_is_read(driver):
    assert driver.read() == (121.0, "")
    assert driver.cold_c == 25.0


def test_a_conversion_is_late_until_its_mark_is_set(driver, chip):
    driver.start()
    assert driver.read() == (None, "late")
    chip.registers[STATUS] = b"\x40"
    assert driver.read() == (121.0, "")


@pytest.mark.parametrize("pattern", [b"\x01\x01", b"\xff\xff", b"\x00\x00"])
def test_a_line_that_repeats_itself_is_never_16_degrees(driver, chip, pattern):
    chip.registers = dict.fromkeys(chip.registers, pattern)
    chip.writeto_mem = lambda *_: None
    assert driver.read() == (None, "absent")


@pytest.mark.parametrize("word", [b"\x01\x01", b"\xff\xff"])
def test_a_stale_hot_word_beside_live_ones_is_refused(driver, chip, word):
    # Field report: 0x0101 (16.0625 degC) and 0xFFFF (-0.0625 degC) stand where a conversion has not been.
    chip.registers[HOT] = word
    assert driver.read() == (None, "bus_high")


def test_sixteen_degrees_that_are_true_are_believed(chip):
    made = Mcp9600(chip, 0x60)
    made.configure()
    chip.put(HOT, 16.0625)
    chip.put(DELTA, 16.0625 - 15.0)
    chip.put(COLD, 15.0)
    assert made.read() == (16.0625, "")


@pytest.mark.parametrize(
    ("name", "status", "fault"),
    [(0x41, 0x50, "open"), (0x40, 0x50, "range"), (0x41, 0x60, "short_gnd")],
)
def test_the_chips_own_faults(name, status, fault):
    chip = Chip(name=name)
    made = Mcp9600(chip, 0x60)
    made.configure()
    chip.registers[STATUS] = bytes((status,))
    assert made.read() == (None, fault)
    assert made.cold_c is None


def test_a_chip_that_lost_its_settings_is_set_up_again(driver, chip):
    chip.registers[SENSOR] = b"\x00"
    assert driver.read() == (None, "absent")
    assert driver.read() == (121.0, "")


def test_a_wire_that_is_off_is_absent_everywhere(driver, chip):
    chip.gone = True
    driver.start()
    assert driver.read() == (None, "absent")
    assert driver.configure() == "absent"


@pytest.mark.parametrize(("hot_c", "cold_c", "fault"), [(1400.0, 25.0, "range"), (200.0, 130.0, "cold_junction")])
def test_what_cannot_be_is_no_number(hot_c, cold_c, fault):
    made = Mcp9600(Chip(hot_c, cold_c), 0x60)
    made.configure()
    assert made.read() == (None, fault)


def test_an_unknown_type_is_named():
    with pytest.raises(ValueError, match="K, N or T"):
        Mcp9600(Chip(), 0x60, kind="J")


@pytest.mark.parametrize(("off_c", "fault"), [(0.5, ""), (-0.5, ""), (1.5, "bus_high"), (-1.5, "bus_high")])
def test_a_hot_junction_that_is_not_the_sum_of_its_two_parts_is_refused(driver, chip, off_c, fault):
    """Data sheet, page 24: hot = difference + cold. A pit that rises 5 degC/s moves 0.4 degC in one conversion."""
    chip.put(HOT, 121.0 + off_c)
    assert driver.read() == ((None, fault) if fault else (121.0 + off_c, ""))
