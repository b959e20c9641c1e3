"""What the hardware's pages say in words, against board files and computed figures."""

from __future__ import annotations

import re
from importlib import import_module
from pathlib import Path

import pytest

from hardware import pins, power

HARDWARE = Path(__file__).parents[2] / "hardware"
ROW = re.compile(r"^\| `(\w+)`( pit| stone)? \| ([\d, ]+) \(([\d, ]+)\) \| ([\d, ]+) \|", re.MULTILINE)


def numbers(text):
    return [int(part) for part in text.split(",")]


def in_the_file(board, name, which):
    value = getattr(board, name)
    if which:
        return [value[(" pit", " stone").index(which)]]
    return list(value) if isinstance(value, tuple) else [value]


def test_the_table_of_pins_is_that_of_the_board_files():
    pico, esp32 = (import_module(f"emberboard.boards.{name}") for name in ("pico_w", "esp32"))
    rows = ROW.findall((HARDWARE / "wiring.md").read_text())
    assert len(rows) == 15
    for name, which, gp, edge, io in rows:
        assert numbers(gp) == in_the_file(pico, name, which), name
        assert numbers(edge) == [pins.PICO_EDGE[number] for number in numbers(gp)], name
        assert numbers(io) == in_the_file(esp32, name, which), name


@pytest.mark.parametrize(
    "figure",
    [
        f"{power.fuse_a():g} A time-lag",
        f"12 V, {power.adapter_a():.0f} A, class II",
        f"{power.buck_a():.1f} A or more",
        f"{power.MONO_OHM / 1e3:.0f} kohm",
        f"{power.MONO_F * 1e6:.1f} uF",
        f"{power.GATE_OHM:.0f} ohm to the gate, {power.PULL_DOWN_OHM / 1e3:.0f} kohm from gate to 0 V",
        f"at most {power.Blower().run_a:.1f} A",
    ],
)
def test_the_bill_of_materials_has_the_figures_of_the_budget(figure):
    assert figure in (HARDWARE / "bill_of_materials.md").read_text()


def test_the_second_switch_is_described_with_its_own_times():
    low_s, _, high_s = power.pulse_s()
    assert f"{low_s:.1f} to {high_s:.1f} s" in (HARDWARE / "wiring.md").read_text()


def test_the_meter_comes_before_any_program_and_the_checks_are_counted():
    checks = re.findall(r"^\| (\d+) \|", (HARDWARE / "bench_checks.md").read_text(), re.MULTILINE)
    assert [int(number) for number in checks] == list(range(1, len(checks) + 1))
    tutorial = (HARDWARE.parent / "docs" / "tutorial" / "first_real_cook.md").read_text()
    meter = tutorial.index("[Bench checks](../../hardware/bench_checks.md) 1 to 6")
    assert meter < tutorial.index("emberdraft board deploy") < tutorial.index(f"7 to {len(checks)}")
