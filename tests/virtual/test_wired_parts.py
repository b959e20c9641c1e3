"""Other ways to wire a blower, a damper that tells its place, probes behind a switch, the supply: whole firmware."""

from __future__ import annotations

import pytest

from emberdraft.virtual.fitted import Fitted
from tests.virtual.conftest import SmallWorld


class Spinning(SmallWorld):
    """A blower that turns with its drive, and stands when something holds the wheel."""

    held = False
    supply_v = 12.0

    @property
    def tach_rpm(self):
        return 0.0 if self.held else 5000.0 * self.drive


def told(cook, alert):
    """Whether the board has raised this; an emptied message is an alert that is over."""
    return any(row for row in cook.of(f"alert/{alert}"))


@pytest.mark.parametrize("way", ["four_wire", "stretched", "windows"])
def test_a_wheel_that_is_held_fast_is_seen_with_each_way_of_reading(start, way):
    world = Spinning()
    cook = start(world, settings={"tach": True, "tach_way": way})
    cook.hold(200.0)
    cook.run(12.0)
    assert not told(cook, "blower_fault")
    assert cook.board.drive > 0.3
    world.held = True
    cook.run(25.0)
    assert told(cook, "blower_fault")
    assert cook.board.drive == 0.0


def test_a_chopped_blower_read_as_one_with_four_wires_hides_a_held_wheel(start):
    """Why the way must be set: between the pulses of the supply nothing pulls the wire down."""
    world = Spinning()
    settings = {"tach": True, "tach_way": "four_wire"}
    cook = start(world, settings=settings, fitted=Fitted(three_wire=True))
    cook.hold(200.0)
    cook.run(3.0)
    world.held = True
    cook.run(2.0)
    assert 0.0 < cook.board.drive < 1.0
    rig = cook.board._machine.rack
    assert rig.speed_wire.pulse_us(25_000, cook.board.drive) > 0  # pulses all the same
    assert rig.speed_wire.pulse_us(25_000, 1.0) == 0


def test_a_press_in_the_middle_of_a_stretched_pulse_leaves_no_air(start):
    cook = start(Spinning(), settings={"tach": True, "tach_way": "stretched"})
    cook.hold(200.0)
    cook.run(12.0)
    for k in range(40):  # wherever the stretch falls within the ten seconds
        cook.run(0.25)
        if k == 20:
            cook.board.press_lid_button()
        if k > 21:
            assert cook.board.drive == 0.0


@pytest.mark.parametrize("feedback", ["pot", "switches"])
def test_a_damper_that_is_jammed_is_told_where_its_place_is_read(start, feedback):
    settings = {"damper": True, "damper_feedback": feedback, "food_probes": 1}
    cook = start(SmallWorld(), settings=settings)
    cook.hold(200.0)
    cook.run(40.0)
    assert not told(cook, "damper_fault")
    cook.board.jam_damper()
    cook.order(5, "mode", mode="off")
    cook.order(6, "mode", mode="bank")
    cook.run(40.0)
    assert told(cook, "damper_fault")


def test_a_feedback_wire_that_is_off_is_no_damper_that_sticks(start):
    cook = start(SmallWorld(), settings={"damper": True, "damper_feedback": "pot", "food_probes": 1})
    cook.hold(200.0)
    cook.run(10.0)
    cook.board._machine.rack.inputs.position_wire_off = True
    cook.run(40.0)
    assert not told(cook, "damper_fault")


def test_three_probes_behind_one_switch_are_three_temperatures(start):
    class Three(SmallWorld):
        def probe_c(self, k):
            return (4.0, 21.0, 55.0)[k]

    cook = start(Three(), settings={"food_probes": 3, "probe_mux": True})
    assert cook.readings[-1]["core_c"] == pytest.approx([4.0, 21.0, 55.0], abs=0.1)


def test_a_supply_that_sags_stops_the_air(start):
    world = Spinning()
    cook = start(world, settings={"supply_probe": True, "food_probes": 2})
    cook.hold(200.0)
    cook.run(15.0)
    assert cook.board.drive > 0.0
    world.supply_v = 9.8
    cook.run(5.0)
    assert cook.board.drive == 0.0
    assert told(cook, "supply_low")


def test_an_offset_is_added_to_what_a_probe_reads(start):
    settings = {"pit_offset_mk": -800, "pit_offset_date": "2026-05-01", "food1_offset_mk": 300}
    cook = start(SmallWorld(pit_c=20.0), settings=settings)
    assert cook.readings[-1]["pit_c"] == pytest.approx(19.2, abs=0.05)
    assert cook.readings[-1]["core_c"][0] == pytest.approx(4.3, abs=0.05)
    assert cook.of("info")[-1]["sensors"]["offsets"]["pit"] == {"k": -0.8, "date": "2026-05-01"}
