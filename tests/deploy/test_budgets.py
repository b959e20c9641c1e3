"""docs/reference/budgets.md against what is built, and against a 32-bit MicroPython where one is."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from emberdraft.deploy import look
from emberdraft.deploy.build import CONVERTERS
from tests.bench.memory import measure, port_in
from tests.deploy.built import built

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "budgets.md").read_text()
PLATFORMS = {"Pico W, Pico 2 W": "rp2", "ESP32": "esp32"}
PORT = port_in(Path(os.environ.get("EMBERDRAFT_WASM", "/nowhere")))


def rows():
    found = re.findall(
        r"^\| (Pico W, Pico 2 W|ESP32) \| (\w+) \| ([\d,]+) \| ([\d,]+) \| ([\d,]+) \|$", PAGE, re.MULTILINE
    )
    return {(PLATFORMS[board], chip): [int(n.replace(",", "")) for n in numbers] for board, chip, *numbers in found}


def test_every_board_with_every_converter_stands_there():
    assert set(rows()) == {(platform, chip) for platform in PLATFORMS.values() for chip in CONVERTERS}


@pytest.mark.parametrize("chip", CONVERTERS)
def test_the_tree_is_as_large_as_the_page_says(chip):
    assert built("rp2", chip).total_bytes() == pytest.approx(rows()["rp2", chip][0], rel=0.03)


def test_the_check_of_a_board_reckons_with_the_pages_figures():
    assert max(row[1] for row in rows().values()) <= look.HEAP_LINKED
    assert f"{look.HEAP_LEFT // 1000} kB free with the link up" in PAGE


if PORT is not None:

    @pytest.mark.parametrize("chip", CONVERTERS)
    def test_the_memory_is_what_the_page_says(chip):
        found = measure(PORT, "rp2", chip)
        assert found["up"]
        assert found["linked, a minute on"] == pytest.approx(rows()["rp2", chip][1], rel=0.04)
        assert found["bytes a tick"] <= 1.2 * rows()["rp2", chip][2]
