"""The whole firmware on each converter, at register level: the tree that `board deploy` makes for it."""

from __future__ import annotations

import pytest

from emberdraft.errors import UserError
from emberdraft.virtual.fitted import Fitted
from tests.virtual.compiled import compile_into
from tests.virtual.conftest import SmallWorld

DRIVER = {"mcp9601": "mcp9600"}


@pytest.mark.parametrize("chip", ["max31855", "mcp9600", "mcp9601"])
def test_the_firmware_holds_a_pit_with_this_converter_and_stops_when_its_probe_is_off(start, tmp_path, chip):
    firmware = compile_into(tmp_path / "tree", DRIVER.get(chip, chip))
    cook = start(SmallWorld(pit_c=80.0), firmware=firmware, fitted=Fitted(converter=chip))
    cook.hold(121.0)
    cook.run(20.0)
    last = cook.readings[-1]
    assert last["pit_c"] == pytest.approx(cook.board.world.pit_c, abs=1.5)
    assert last["stone_c"] == pytest.approx(40.0, abs=0.3)
    assert cook.board.drive > 0.0
    cook.board.unplug("pit", "open")
    cook.run(5.0)
    assert cook.board.drive == 0.0
    assert cook.readings[-1]["pit_fault"] == ("range" if chip == "mcp9600" else "open")


def test_firmware_for_another_converter_says_that_none_is_there(start, tmp_path):
    firmware = compile_into(tmp_path / "tree", "mcp9600")
    cook = start(SmallWorld(), firmware=firmware, fitted=Fitted(converter="max31856"))
    assert cook.readings[-1]["pit_fault"] == "absent"


def test_a_converter_that_nobody_makes_is_one_line():
    with pytest.raises(UserError, match="one of max31856, max31855, mcp9600, mcp9601 would be right"):
        Fitted(converter="max6675x")
