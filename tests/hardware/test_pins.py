"""The board files against what the chips can do, the wiring pictures against the board files."""

from __future__ import annotations

import importlib
import re
import shutil
import subprocess
from importlib import import_module
from pathlib import Path

import pytest
import yaml

from emberboard.boards import fitted
from emberdraft.deploy.build import CONVERTERS
from hardware import draw, pins

WIRING = Path(__file__).parents[2] / "hardware" / "wiring"
BOARDS = ("pico_w", "esp32")
SHEETS = sorted(path.stem for path in WIRING.glob("*.yml"))
OUTPUTS = ("BLOWER", "PULSE", "DAMPER", "BUZZER", "LIGHT")


def board(name):
    return import_module(f"emberboard.boards.{name}")


def used(made):
    """Name and number of every pin that the board file gives a role."""
    single = ("SPI_SCK", "SPI_MOSI", "SPI_MISO", "I2C_SDA", "I2C_SCL", *OUTPUTS, "TACH", "LID_BUTTON")
    found = [(name, getattr(made, name)) for name in single]
    found += [("THERMOCOUPLE_CS", number) for number in made.THERMOCOUPLE_CS]
    return found + [("PROBE_ADC", number) for number in made.PROBE_ADC]


@pytest.mark.parametrize("name", BOARDS)
def test_no_pin_has_two_roles(name):
    numbers = [number for _, number in used(board(name))]
    assert len(numbers) == len(set(numbers))


@pytest.mark.parametrize("converter", CONVERTERS)
@pytest.mark.parametrize("name", BOARDS)
def test_the_probes_switch_takes_no_pin_that_is_used_with_this_converter(name, converter, monkeypatch):
    monkeypatch.setattr(fitted, "CONVERTER", converter)
    made = importlib.reload(board(name))
    free = ("SPI", "THERMOCOUPLE_CS") if converter == "mcp9600" else ("I2C",)
    others = {number for role, number in used(made) if not role.startswith(free)}
    assert len(set(made.MUX)) == 2
    assert not others & set(made.MUX)
    if name == "esp32":
        assert not set(made.MUX) & (pins.ESP32_STRAPPING | pins.ESP32_FLASH | pins.ESP32_CONSOLE)
        assert not set(made.MUX) & pins.ESP32_INPUT_ONLY
    else:
        assert set(made.MUX) <= pins.PICO_FREE
    monkeypatch.undo()
    importlib.reload(made)


def test_a_board_file_with_a_new_pin_is_seen_here():
    made = board("pico_w")
    known = {name for name, _ in used(made)} | {"NAME", "SPI_ID", "I2C_ID", "ADC_OPTIONS", "TIMER", "MUX"}
    assert {name for name in vars(made) if name.isupper()} == known


def test_every_pin_of_the_pico_can_do_its_job():
    made = board("pico_w")
    assert {number for _, number in used(made)} <= pins.PICO_FREE
    assert set(made.PROBE_ADC) <= pins.PICO_ADC
    for role in ("SCK", "MOSI", "MISO"):
        assert getattr(made, f"SPI_{role}") in pins.PICO_SPI[made.SPI_ID, role]
    for role in ("SDA", "SCL"):
        assert getattr(made, f"I2C_{role}") in pins.PICO_I2C[made.I2C_ID, role]


def test_two_frequencies_are_in_two_slices():
    made = board("pico_w")
    assert pins.pico_slice(made.BLOWER) != pins.pico_slice(made.DAMPER)


def test_every_pin_of_the_esp32_can_do_its_job():
    made = board("esp32")
    numbers = {number for _, number in used(made)}
    assert numbers <= pins.ESP32_EXISTS
    assert not numbers & (pins.ESP32_STRAPPING | pins.ESP32_FLASH | pins.ESP32_CONSOLE)
    assert set(made.PROBE_ADC) <= pins.ESP32_ADC1
    inputs = {*made.PROBE_ADC, made.SPI_MISO, made.TACH}
    assert not (numbers - inputs) & pins.ESP32_INPUT_ONLY
    assert made.SPI_ID in pins.ESP32_SPI


def source(name):
    return yaml.safe_load((WIRING / f"{name}.yml").read_text())


def gpio_of(label):
    found = re.match(r"(?:GP|IO)(\d+) (\w+)", label)
    return (found.group(2), int(found.group(1))) if found else None


@pytest.mark.parametrize("name", BOARDS)
def test_the_wiring_has_the_pins_of_the_board_file(name):
    drawn = sorted(filter(None, (gpio_of(label) for label in source(name)["connectors"]["Board"]["pinlabels"])))
    there = sorted(pair for pair in used(board(name)) if not pair[0].startswith("I2C"))
    assert drawn == there


def test_the_edge_of_the_pico_is_numbered_right():
    drawn = source("pico_w")["connectors"]["Board"]
    for number, label in zip(drawn["pins"], drawn["pinlabels"], strict=True):
        named = gpio_of(label)
        assert named is None or pins.PICO_EDGE[named[1]] == number


@pytest.mark.parametrize("name", BOARDS)
def test_every_drawn_pin_but_the_speed_wire_is_connected(name):
    drawn = source(name)
    numbers = {num for row in drawn["connections"] for part in row for num in part.get("Board", [])}
    loose = [
        label
        for number, label in zip(
            drawn["connectors"]["Board"]["pins"], drawn["connectors"]["Board"]["pinlabels"], strict=True
        )
        if number not in numbers
    ]
    assert [gpio_of(label)[0] if gpio_of(label) else label for label in loose] in (
        ["TACH"],
        ["TACH", "GND at the probes"],
    )


@pytest.mark.parametrize("name", BOARDS)
def test_the_blower_has_the_hand_switch_and_the_second_switch_before_it(name):
    steps = [[next(iter(part)) for part in row] for row in source(name)["connections"]]
    ways = {(row[0], row[2]) for row in steps}
    assert {("Fuse", "HandSwitch"), ("HandSwitch", "SecondSwitch"), ("SecondSwitch", "Blower")} <= ways
    assert not {("Fuse", "Blower"), ("HandSwitch", "Blower"), ("Adapter", "Blower"), ("Fuse", "SecondSwitch")} & ways


def test_each_board_has_its_three_sheets():
    assert sorted(f"{name}{more}" for name in BOARDS for more in ("", "_i2c", "_options")) == SHEETS


def named_pins(made):
    """(number, what it may be called in a drawing) of every pin of a board file, its probes' switch among them."""
    found = {(number, role) for role, number in used(made)}
    return found | {(number, "MUX") for number in made.MUX}


@pytest.mark.parametrize("name", BOARDS)
@pytest.mark.parametrize("sheet", ["options", "i2c"])
def test_the_other_sheets_have_the_pins_of_the_board_file_too(name, sheet):
    labels = source(f"{name}_{sheet}")["connectors"]["Board"]["pinlabels"]
    drawn = [(number, role) for role, number in filter(None, map(gpio_of, labels))]
    assert set(drawn) <= named_pins(board(name))
    assert len({number for number, _ in drawn}) == len(drawn)
    asked = {"I2C_SDA", "I2C_SCL"} if sheet == "i2c" else {"BLOWER", "TACH", "PROBE_ADC", "MUX"}
    assert {role for _, role in drawn} == asked


@pytest.mark.parametrize("name", BOARDS)
@pytest.mark.parametrize("sheet", ["options", "i2c"])
def test_every_pin_of_the_other_sheets_is_connected(name, sheet):
    drawn = source(f"{name}_{sheet}")
    joined = {(part, pin) for row in drawn["connections"] for step in row for part, own in step.items() for pin in own}
    for part, made in drawn["connectors"].items():
        numbers = made.get("pins") or range(1, len(made["pinlabels"]) + 1)
        assert {(part, number) for number in numbers} <= joined, part


@pytest.mark.parametrize("name", BOARDS)
def test_a_blower_with_a_speed_input_has_both_switches_in_its_supply(name):
    """It means full when nothing drives its input, so that only the 12 V can stop it."""
    rows = source(f"{name}_options")["connections"]
    plus = [next(iter(row[0])) for row in rows if row[2] == {"FourWireBlower": [1]}]
    assert plus == ["SecondSwitch"]


@pytest.mark.parametrize("name", SHEETS)
def test_no_picture_is_older_than_its_source(name):
    """If this fails: python -m hardware.draw."""
    assert (WIRING / f"{name}.svg").read_text().endswith(draw.mark(WIRING / f"{name}.yml"))


def texts(svg):
    return set(re.findall(r"<text[^>]*>([^<]*)</text>", svg))


@pytest.mark.parametrize("name", SHEETS)
def test_the_picture_shows_every_pin(name):
    shown = texts((WIRING / f"{name}.svg").read_text())
    labels = {str(label) for part in source(name)["connectors"].values() for label in part["pinlabels"]}
    assert labels <= shown


if shutil.which("wireviz") and shutil.which("dot"):

    @pytest.mark.parametrize("name", SHEETS)
    def test_the_picture_is_the_source_drawn_anew(name, tmp_path):
        shutil.copy(WIRING / f"{name}.yml", tmp_path)
        subprocess.run(["wireviz", "-f", "s", f"{name}.yml"], cwd=tmp_path, check=True, capture_output=True)
        assert texts((tmp_path / f"{name}.svg").read_text()) == texts((WIRING / f"{name}.svg").read_text())
