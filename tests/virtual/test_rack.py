"""The bench at byte level: frames in, world moved, answers out."""

from __future__ import annotations

import struct

import pytest

from emberboard.boards import virtual as pins
from emberdraft.errors import UserError
from emberdraft.virtual.overlay import vb_ops as ops
from emberdraft.virtual.rack import Rack, Reset
from emberdraft.virtual.watchdog import Bitten
from tests.virtual.conftest import SmallWorld

PIT_CS, STONE_CS = pins.THERMOCOUPLE_CS
MODE_1 = 1 << 4
ONE_SHOT = bytes((ops.SPI_WRITE, MODE_1, 2, 0x80, 0x51))
READ_ALL = bytes((ops.SPI_WRITE, MODE_1, 1, 0x00, ops.SPI_READ, MODE_1, 16))


def at(us):
    return bytes((ops.TIME,)) + struct.pack("<Q", us)


def pin(number, level):
    return bytes((ops.PIN, number, level))


def pwm(number, hertz, high_ns):
    return bytes((ops.PWM, number)) + struct.pack("<II", hertz, high_ns)


SYNC = bytes((ops.SYNC,))


@pytest.fixture
def world():
    return SmallWorld(pit_c=121.0)


@pytest.fixture
def rack(world):
    made = Rack(world)
    made.boot()
    return made


def ask(rack, *parts):
    """A frame of these operations; the payload of its answer."""
    body = b"".join(parts)
    return rack.frame(struct.pack("<H", 2 + len(body)) + body)[ops.ANSWER :]


def read_registers(rack, cs, us):
    registers = ask(rack, at(us), pin(cs, 0), READ_ALL)
    ask(rack, pin(cs, 1), SYNC)
    return registers


def test_a_conversion_gives_the_data_sheets_word_for_121_degrees(rack):
    ask(rack, pin(PIT_CS, 0), ONE_SHOT, pin(PIT_CS, 1), SYNC)
    registers = read_registers(rack, PIT_CS, 170_000)
    assert registers[0x0C:0x0F] == bytes.fromhex("079000")  # 121 x 128 = 15,488 = 3C80h, five bits up
    assert registers[0x0A:0x0C] == bytes.fromhex("1900")  # 25 degC
    assert registers[0x0F] == 0


def test_nothing_is_converted_before_its_time(rack):
    ask(rack, pin(PIT_CS, 0), ONE_SHOT, pin(PIT_CS, 1), SYNC)
    registers = read_registers(rack, PIT_CS, 168_000)
    assert registers[0] & 0x40
    assert registers[0x0C:0x0F] == bytes(3)


def test_each_select_pin_has_its_own_chip(rack):
    ask(rack, pin(STONE_CS, 0), ONE_SHOT, pin(STONE_CS, 1), SYNC)
    assert read_registers(rack, STONE_CS, 170_000)[0x0C] == 0x02  # 40 degC
    assert read_registers(rack, PIT_CS, 171_000)[0x0C] == 0x00


def test_the_wrong_spi_mode_reads_nothing(rack):
    assert ask(rack, pin(PIT_CS, 0), bytes((ops.SPI_WRITE, 0, 1, 0, ops.SPI_READ, 0, 16))) == b"\xff" * 16


def test_with_nobody_selected_the_line_floats_high(rack):
    assert ask(rack, READ_ALL) == b"\xff" * 16


@pytest.mark.parametrize(("level", "byte"), [("low", b"\x00"), ("high", b"\xff")])
def test_a_stuck_line(rack, level, byte):
    rack.bus = level
    assert ask(rack, pin(PIT_CS, 0), READ_ALL) == byte * 16


def test_an_open_wire_sets_its_bit(rack):
    rack.unplug("pit", "open")
    ask(rack, pin(PIT_CS, 0), ONE_SHOT, pin(PIT_CS, 1), SYNC)
    assert read_registers(rack, PIT_CS, 170_000)[0x0F] & 0x01


def test_a_voltage_fault_suspends_conversions(rack):
    rack.unplug("pit", "short")
    ask(rack, pin(PIT_CS, 0), ONE_SHOT, pin(PIT_CS, 1), SYNC)
    registers = read_registers(rack, PIT_CS, 400_000)
    assert registers[0x0F] == 0x02
    assert registers[0] & 0x40


def test_a_probe_that_the_world_breaks_is_broken_at_its_chip(rack, world):
    world.fault = lambda name: "short" if name == "pit" else ""
    ask(rack, at(1_000_000), SYNC)
    assert read_registers(rack, PIT_CS, 1_100_000)[0x0F] == 0x02
    assert read_registers(rack, STONE_CS, 1_200_000)[0x0F] == 0x00


def test_a_probe_that_is_not_there_cannot_be_unplugged(rack):
    with pytest.raises(UserError, match="there are pit, stone, 0, 1, 2"):
        rack.unplug("lid")


def test_a_probe_is_counts_of_its_divider(rack, world):
    world.core_c = 25.0
    counts = struct.unpack("<H", ask(rack, bytes((ops.ADC_READ, pins.PROBE_ADC[0]))))[0]
    assert counts == pytest.approx(32768, abs=2)  # 10,000 ohm at 25 degC, under 10,000 ohm
    rack.unplug(0, "open")
    assert ask(rack, bytes((ops.ADC_READ, pins.PROBE_ADC[0]))) == b"\xff\xff"


def test_the_blower_is_its_mean_over_the_second(rack, world):
    ask(rack, pwm(pins.BLOWER, 25_000, 40_000), SYNC)
    ask(rack, at(250_000), pwm(pins.BLOWER, 25_000, 0), SYNC)
    ask(rack, at(1_000_000), SYNC)
    assert world.drive == pytest.approx(0.25)


@pytest.mark.parametrize(
    ("high_ns", "opening"), [(1_000_000, 0.0), (1_250_000, 0.25), (2_000_000, 1.0), (2_400_000, 1.0)]
)
def test_a_servo_pulse_is_an_opening(rack, world, high_ns, opening):
    ask(rack, pwm(pins.DAMPER, 50, high_ns), at(1_000_000), SYNC)
    assert world.opening == pytest.approx(opening)


@pytest.mark.parametrize(("rpm", "pulse_us"), [(3000.0, 5000), (6500.0, 2308), (100.0, 0), (0.0, 0)])
def test_the_speed_wire_is_high_for_a_quarter_of_a_turn(rack, world, rpm, pulse_us):
    world.tach_rpm = rpm
    question = bytes((ops.PULSE, pins.TACH)) + struct.pack("<I", 25_000)
    assert struct.unpack("<I", ask(rack, question))[0] == pulse_us


def test_without_pulses_the_servo_stays(rack, world):
    ask(rack, pwm(pins.DAMPER, 50, 1_250_000), SYNC)
    rack.release()
    ask(rack, pwm(pins.DAMPER, 50, 0), at(1_000_000), SYNC)
    assert world.opening == pytest.approx(0.25)


def test_the_watchdog_bites_at_its_time_and_not_before(rack):
    ask(rack, bytes((ops.WATCHDOG,)) + struct.pack("<I", 3000), SYNC)
    ask(rack, at(2_900_000), bytes((ops.FEED,)), SYNC)
    ask(rack, at(5_899_000), SYNC)
    with pytest.raises(Bitten):
        ask(rack, at(60_000_000), SYNC)
    assert rack.now_us == 5_900_000


def test_a_reset_takes_the_air_away(rack, world):
    ask(rack, pwm(pins.BLOWER, 25_000, 40_000), at(1_000_000), SYNC)
    with pytest.raises(Reset):
        ask(rack, bytes((ops.RESET,)))
    rack.release()
    rack.advance_to(2_000_000)
    assert world.drive == 0.0


def test_a_stuck_blower_does_not_listen(rack, world):
    rack.stuck_drive = 1.0
    ask(rack, pwm(pins.BLOWER, 25_000, 0), at(1_000_000), SYNC)
    assert world.drive == 1.0


def test_a_press_is_an_interrupt_once_and_a_level_for_a_moment(rack):
    ask(rack, bytes((ops.LISTEN, pins.LID_BUTTON)), SYNC)
    rack.press()
    header = rack.frame(struct.pack("<H", 3) + SYNC)
    assert (header[0] & ops.FLAG_INTERRUPT, header[1]) == (ops.FLAG_INTERRUPT, pins.LID_BUTTON)
    assert ask(rack, bytes((ops.PIN_READ, pins.LID_BUTTON))) == b"\x00"
    assert rack.frame(struct.pack("<H", 3) + SYNC)[0] == 0
    assert ask(rack, at(300_000), bytes((ops.PIN_READ, pins.LID_BUTTON))) == b"\x01"


def test_a_second_boot_has_a_clock_from_zero_and_other_chance(rack):
    first = ask(rack, bytes((ops.HELLO,)))
    ask(rack, at(5_000_000), SYNC)
    rack.release()
    rack.cause = ops.BY_WATCHDOG
    rack.boot()
    second = ask(rack, at(1_000_000), bytes((ops.HELLO,)))
    assert rack.now_us == 6_000_000
    assert second[4] == ops.BY_WATCHDOG
    assert first[:4] != second[:4]


def test_pin_maps_have_the_same_names():
    from emberboard.boards import esp32, pico_w

    def names(module):
        return {name for name in vars(module) if name.isupper()}

    assert names(pico_w) == names(esp32) == names(pins)


@pytest.mark.parametrize("name", ["pico_w", "esp32", "virtual"])
def test_no_pin_is_used_twice(name):
    from importlib import import_module

    board = import_module(f"emberboard.boards.{name}")
    used = [board.SPI_SCK, board.SPI_MOSI, board.SPI_MISO, *board.THERMOCOUPLE_CS, *board.PROBE_ADC]
    used += [board.BLOWER, board.DAMPER, board.BUZZER, board.LIGHT, board.LID_BUTTON, board.TACH]
    assert len(used) == len(set(used))


def test_blower_and_damper_of_a_pico_are_in_different_slices():
    # RP2040 data sheet, 4.5.2: GPIO n belongs to PWM slice (n // 2) mod 8, and a slice has one frequency.
    from emberboard.boards import pico_w

    assert (pico_w.BLOWER // 2) % 8 != (pico_w.DAMPER // 2) % 8
