"""docs/reference/chips.md, chip by fault: each driver on the simulated chip that was written from the data sheet."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from emberboard.drivers.max31855 import Max31855
from emberboard.drivers.max31856 import Max31856
from emberboard.drivers.mcp9600 import Mcp9600
from emberboard.drivers.thermistor import Thermistor
from emberdraft.virtual.max31855_chip import Max31855Chip
from emberdraft.virtual.max31856_chip import Max31856Chip
from emberdraft.virtual.mcp9600_chip import COLD, DELTA, HOT, STATUS, UPDATED, Mcp9600Chip
from emberdraft.virtual.probes import ThermistorProbe
from tests.drivers.bench_wires import ChipBus, I2cBus

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "chips.md"
KINDS = ("MAX31856", "MAX31855K", "MCP9600", "MCP9601", "food probe")
ROUND_US = 1_000_000


class Bench:
    """One chip with its driver; `read` is one control step later."""

    def __init__(self, kind):
        self.hot_c, self.cold_c = 150.0, 25.0
        if kind == "food probe":
            self.chip = ThermistorProbe(lambda: self.hot_c)
            self.driver = Thermistor(self)
            self.hot_c = 60.0
            return
        if kind.startswith("MCP"):
            self.chip = Mcp9600Chip(lambda: self.hot_c, lambda: self.cold_c, kind.lower())
            self.bus = I2cBus(self.chip)
            self.driver = Mcp9600(self.bus, 0x60)
        else:
            chip, driver = {"MAX31856": (Max31856Chip, Max31856), "MAX31855K": (Max31855Chip, Max31855)}[kind]
            self.chip = chip(lambda: self.hot_c, lambda: self.cold_c)
            self.bus = ChipBus(self.chip)
            self.driver = driver(self.bus, self.bus.cs)
        self.driver.configure()

    def read_u16(self):
        return self.chip.counts()

    def read(self, wait_us=ROUND_US):
        if not hasattr(self, "bus"):
            return self.driver.read()
        self.driver.start()
        self.bus.now_us += wait_us
        return self.driver.read()


def wired(how):
    def break_it(bench):
        bench.chip.wiring = how

    return break_it


def stuck(level):
    def break_it(bench):
        bench.bus.stuck = level

    return break_it


def at(hot_c=None, cold_c=None):
    def set_it(bench):
        bench.hot_c = bench.hot_c if hot_c is None else hot_c
        bench.cold_c = bench.cold_c if cold_c is None else cold_c

    return set_it


def forgotten(bench):
    if not hasattr(bench, "bus"):
        bench.chip.wiring = "open"
        return
    bench.chip.power_cycle()
    if isinstance(bench.chip, Max31855Chip):
        bench.chip.frozen = True  # without power it converts nothing


def never_converted(bench):
    """Words of a field report where a conversion has never been, marked as new."""
    bench.chip._held.update({HOT: b"\x01\x01", DELTA: b"\xff\xff", COLD: b"\xff\xff", STATUS: bytes((UPDATED,))})
    bench.chip._next_us = 10**12
    bench.chip.write = lambda *_: True  # the mark stands, whatever is written


FAULTS = {
    "a wire broken": wired("open"),
    "wire to 3.3 V": wired("short_vcc"),
    "wire to 0 V": wired("short_gnd"),
    "both wires touch": at(hot_c=25.0),
    "polarity wrong": wired("reversed"),
    "data line stuck low": stuck("low"),
    "data line stuck high": stuck("high"),
    "chip gone or lost its settings": forgotten,
    "a word from a conversion that never was": never_converted,
    "conversion not finished": None,
    "a word that stands still": None,
    "cold junction out of its range": at(cold_c=127.0),
    "beyond the type's range": at(hot_c=1500.0),
    "probe slipped out of its place": at(hot_c=110.0),
}
FOOD = {"wire to 3.3 V": "open", "wire to 0 V": "short", "both wires touch": "short"}


def table():
    text = PAGE.read_text()
    lines = text[text.index("## Chip and fault") : text.index("## MAX31855")].splitlines()
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("| ")]
    assert rows[0][1:] == list(KINDS)
    return {
        next(name for name in FAULTS if row[0].startswith(name)): dict(zip(KINDS, row[1:], strict=True))
        for row in rows[2:]
    }


CELLS = [(fault, kind, cell) for fault, row in table().items() for kind, cell in row.items()]


def test_the_page_has_every_fault():
    assert set(table()) == set(FAULTS)


def named(cell):
    found = re.match(r"`([a-z_]+)`", cell)
    return found.group(1) if found else ""


@pytest.mark.parametrize(
    ("fault", "kind", "cell"),
    [row for row in CELLS if FAULTS[row[0]] is not None and named(row[2]) and row[1] != "food probe"],
    ids=lambda value: value if isinstance(value, str) and len(value) < 40 else None,
)
def test_what_the_page_names_is_named_within_three_samples(fault, kind, cell):
    bench = Bench(kind)
    assert bench.read()[1] == ""
    FAULTS[fault](bench)
    assert named(cell) in [bench.read()[1] for _ in range(3)]


@pytest.mark.parametrize(
    ("fault", "kind"),
    [
        row[:2]
        for row in CELLS
        if row[2].startswith("plausible") and FAULTS[row[0]] is not None and row[1] != "food probe"
    ],
)
def test_what_the_page_calls_plausible_the_chip_cannot_see(fault, kind):
    bench = Bench(kind)
    bench.read()
    FAULTS[fault](bench)
    assert [bench.read()[1] for _ in range(4)] == [""] * 4


@pytest.mark.parametrize("fault", ["a wire broken", "wire to 3.3 V", "wire to 0 V", "both wires touch"])
def test_a_food_probe_names_what_the_page_says(fault):
    bench = Bench("food probe")
    bench.chip.wiring = FOOD.get(fault, "open")
    assert bench.read()[1] == named(table()[fault]["food probe"])


@pytest.mark.parametrize("kind", ["MAX31856", "MCP9600", "MCP9601"])
def test_a_conversion_that_has_not_ended_is_late(kind):
    bench = Bench(kind)
    bench.read()
    assert named(table()["conversion not finished"][kind]) == bench.read(wait_us=1000)[1] == "late"


def test_a_word_that_stands_still_is_late_where_the_chip_marks_new_ones():
    for kind in ("MCP9600", "MCP9601"):
        bench = Bench(kind)
        bench.read()
        bench.chip._next_us = 10**12
        assert bench.read()[1] == named(table()["a word that stands still"][kind]) == "late"
    bench = Bench("MAX31855K")
    bench.read()
    bench.chip.frozen = True
    assert bench.read()[1] == ""
    assert table()["a word that stands still"]["MAX31855K"].startswith("plausible")


@pytest.mark.parametrize("kind", KINDS[:4])
@pytest.mark.parametrize(("hot_c", "cold_c"), [(-10.0, 0.0), (25.0, 25.0), (121.0, 40.0), (350.0, 25.0), (398.0, 60.0)])
def test_chip_and_driver_agree_on_the_temperature(kind, hot_c, cold_c):
    """A quarter of a degree in the word of a MAX31855, a sixteenth in an MCP's; ITS-90 in between (0.06 degC)."""
    bench = Bench(kind)
    at(hot_c, cold_c)(bench)
    for _ in range(12):
        value_c, fault = bench.read()
    assert fault == ""
    assert value_c == pytest.approx(hot_c, abs=0.2)
    assert bench.driver.cold_c == pytest.approx(cold_c, abs=0.05)
