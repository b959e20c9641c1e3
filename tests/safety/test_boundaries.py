"""Each interlock at, just below and just above its bound, and each second that it waits, in plain numbers.

The numbers stand here a second time on purpose: they are this project's own bounds as docs/explain/safety.md gives
them, so that none can be moved without a test and a row being changed with it.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from emberboard import permit
from emberboard.core import interlocks as ask
from emberboard.core.alerts import AlertBook
from emberboard.core.noise import Noise
from emberboard.core.notices import Notices
from emberboard.core.reading import Reading
from emberboard.core.watch import Watch
from tests.safety.judged import See

TABLE: list[tuple[Any, tuple[Any, ...], bool]] = [
    (ask.sensor_fault, (2, 2), False),
    (ask.sensor_fault, (3, 3), True),
    (ask.sensor_fault, (1, 20), False),
    (ask.sensor_fault, (1, 21), True),
    (ask.impossible_jump, (111.9, 100.0, 12.0), False),
    (ask.impossible_jump, (112.0, 100.0, 12.0), True),
    (ask.impossible_jump, (88.0, 100.0, 12.0), True),
    (ask.impossible_jump, (88.1, 100.0, 12.0), False),
    (ask.frozen, (120.0, 6.0), True),
    (ask.frozen, (119.0, 6.0), False),
    (ask.frozen, (120.0, 5.9), False),
    (ask.frozen_under_lid, (30.0, 30.0, 60.0), True),
    (ask.frozen_under_lid, (29.0, 30.0, 60.0), False),
    (ask.frozen_under_lid, (29.0, 29.0, 60.0), False),
    (ask.frozen_under_lid, (30.0, 30.0, 59.75), False),
    (ask.frozen_at_full_air, (390.0, 390.0), True),
    (ask.frozen_at_full_air, (389.0, 390.0), False),
    (ask.frozen_at_full_air, (390.0, 389.0), False),
    (ask.reversed_probe, (16.0, 20.0, 23.75, 16.5), True),
    (ask.reversed_probe, (16.25, 20.0, 23.75, 26.0), False),
    (ask.reversed_probe, (16.0, 20.0, 24.0, 26.0), False),
    (ask.reversed_probe, (16.0, 20.0, 20.0, 16.47), False),
    (ask.over_limit, (1, 5), False),
    (ask.over_limit, (2, 2), True),
    (ask.over_limit, (1, 6), True),
    (ask.at_or_over, (349.75, 350.0), False),
    (ask.at_or_over, (350.0, 350.0), True),
    (ask.armed, (600.0, 600.0), True),
    (ask.armed, (599.0, 600.0), False),
    (ask.armed, (600.0, 599.0), False),
    (ask.asks_for_heat, (0.9,), True),
    (ask.asks_for_heat, (0.89,), False),
    (ask.answers, (92.0, 90.0), True),
    (ask.answers, (91.9, 90.0), False),
    (ask.not_answering, (719.0, 59.0, 59.0), False),
    (ask.not_answering, (720.0, 59.9, 59.9), True),
    # A pit that stands high at full air is a cooker at its limit; one that has fallen is not.
    (ask.not_answering, (720.0, 60.0, 60.0), False),
    (ask.not_answering, (720.0, 90.0, 91.9), False),
    (ask.not_answering, (720.0, 90.0, 92.0), True),
    (ask.not_answering, (719.0, 90.0, 99.0), False),
    # Usual air 0.2: 1.4 times that and 0.05 more are 0.33.
    (ask.gives_no_heat, (0.331, 0.2, 5.01, 0.0009), True),
    (ask.gives_no_heat, (0.329, 0.2, 5.01, 0.0009), False),
    (ask.gives_no_heat, (0.331, 0.2, 5.0, 0.0009), False),
    (ask.gives_no_heat, (0.331, 0.2, 5.01, 0.001), False),
    # A hold on a whiff of air: less than 0.15 is never called much.
    (ask.gives_no_heat, (0.15, 0.01, 9.0, 0.0), True),
    (ask.gives_no_heat, (0.149, 0.01, 9.0, 0.0), False),
    (ask.fire_is_weak, (239.0, True), False),
    (ask.fire_is_weak, (240.0, True), True),
    (ask.fire_is_weak, (359.0, False), False),
    (ask.fire_is_weak, (360.0, False), True),
    (ask.fire_is_lost, (300.0, 8.0, -0.1), True),
    (ask.fire_is_lost, (299.0, 8.0, -0.1), False),
    (ask.fire_is_lost, (300.0, 7.9, -0.1), False),
    (ask.fire_is_lost, (900.0, 20.0, 0.0), False),
    (ask.heats_by_itself, (0.0, 0.2, 0.2, 3.5, -0.004), True),
    (ask.heats_by_itself, (0.01, 0.2, 0.2, 3.5, -0.004), False),
    (ask.heats_by_itself, (0.0, 0.201, 0.2, 3.5, -0.004), False),
    (ask.heats_by_itself, (0.0, 0.05, 0.05, 3.5, -0.004), True),
    (ask.heats_by_itself, (0.0, 0.049, 0.049, 3.5, -0.004), False),
    (ask.heats_by_itself, (0.0, 0.2, 0.2, 3.4, -0.004), False),
    (ask.heats_by_itself, (0.0, 0.2, 0.2, 3.5, -0.0041), False),
    # The damper has been shut for minutes: sooner, at the target already.
    (ask.heats_by_itself, (0.0, -0.03, 0.2, 0.0, -0.004), True),
    (ask.heats_by_itself, (0.0, -0.029, 0.2, 0.0, -0.004), False),
    (ask.heats_by_itself, (0.0, -0.03, 0.2, -0.1, -0.004), False),
    # A tenth of full air less fire than usual: at 2 degC over, and while it falls slowly too.
    (ask.heats_by_itself, (0.0, 0.0999, 0.2, 2.0, -0.008), True),
    (ask.heats_by_itself, (0.0, 0.0, 0.1, 2.0, -0.008), True),
    (ask.heats_by_itself, (0.01, 0.09, 0.2, 2.0, -0.008), False),
    (ask.heats_by_itself, (0.0, 0.1001, 0.2, 2.0, -0.008), False),
    (ask.heats_by_itself, (0.0, 0.09, 0.2, 1.9, -0.008), False),
    (ask.heats_by_itself, (0.0, 0.09, 0.2, 2.0, -0.0081), False),
    (ask.heats_by_itself, (0.0, -0.06, 0.049, 2.0, -0.008), False),
    (ask.blower_stuck_on, (149.0,), False),
    (ask.blower_stuck_on, (150.0,), True),
    (ask.near, (-2.9,), True),
    (ask.near, (3.0,), False),
    (ask.near, (-3.0,), False),
    (ask.reached, (600.0,), True),
    (ask.reached, (599.0,), False),
    (ask.still_rises, (10.0, 0.25, 600.0), True),
    (ask.still_rises, (9.9, 0.25, 600.0), False),
    (ask.still_rises, (10.0, 0.24, 600.0), False),
    (ask.still_rises, (10.0, 0.25, 599.0), False),
    (ask.runaway, (25.0, 300.0), True),
    (ask.runaway, (24.9, 300.0), False),
    (ask.runaway, (25.0, 299.0), False),
    (ask.grease_fire, (140.0, 120.0, 180.0), True),
    (ask.grease_fire, (139.9, 120.0, 180.0), False),
    (ask.grease_fire, (140.0, 120.0, 179.0), False),
    (ask.blower_driven, (0.3,), True),
    (ask.blower_driven, (0.29,), False),
    (ask.blower_stands, (0.3, 199.0), True),
    (ask.blower_stands, (0.29, 199.0), False),
    (ask.blower_stands, (0.3, 200.0), False),
    (ask.blower_stalled, (10.0,), True),
    (ask.blower_stalled, (9.0,), False),
    (ask.blower_turns, (0.0, 1001.0), True),
    (ask.blower_turns, (0.01, 1001.0), False),
    (ask.blower_turns, (0.0, 1000.0), False),
    (ask.blower_spins, (10.0,), True),
    (ask.blower_spins, (9.0,), False),
    (ask.damper_elsewhere, (1.0, 0.74), True),
    (ask.damper_elsewhere, (0.74, 1.0), True),
    (ask.damper_elsewhere, (1.0, 0.75), False),
    (ask.damper_elsewhere, (0.0, None), True),
    (ask.damper_elsewhere, (0.01, None), False),
    (ask.damper_elsewhere, (0.99, None), False),
    (ask.damper_elsewhere, (1.0, None), True),
    (ask.damper_sticks, (20.0,), True),
    (ask.damper_sticks, (19.0,), False),
    (ask.board_hot, (70.0,), True),
    (ask.board_hot, (69.9,), False),
    (ask.back_draft, (60.0, 180.0), True),
    (ask.back_draft, (59.9, 180.0), False),
    (ask.back_draft, (60.0, 179.0), False),
    (ask.board_cool, (64.9,), True),
    (ask.board_cool, (65.0,), False),
    (ask.supply_sags, (10.4,), True),
    (ask.supply_sags, (10.5,), False),
    (ask.supply_low, (3.0,), True),
    (ask.supply_low, (2.9,), False),
    (ask.supply_well, (11.0,), True),
    (ask.supply_well, (10.9,), False),
    (ask.supply_back, (240.0,), True),
    (ask.supply_back, (239.0,), False),
    (ask.lid_pulse, (120.0,), False),
    (ask.lid_pulse, (120.5,), True),
    (ask.lid_pulse, (240.0,), True),
    (ask.lid_pulse, (245.9,), True),
    (ask.lid_pulse, (246.0,), False),
    (ask.lid_pulse, (5.0,), False),
    (ask.lid_forgotten, (1200.0, 0.0), True),
    (ask.lid_forgotten, (1199.0, 299.0), False),
    (ask.lid_forgotten, (0.0, 300.0), True),
    (ask.lid_fell_open, (93.0, 100.0, 0.0), True),
    (ask.lid_fell_open, (93.1, 100.0, 0.0), False),
    (ask.lid_fell_open, (90.0, 100.0, 3.0), True),
    (ask.lid_fell_open, (90.0, 100.0, 3.1), False),
    (ask.lid_fell_away, (92.0, 100.0), True),
    (ask.lid_fell_away, (92.1, 100.0), False),
    (ask.lid_is_back, (81.5, 80.0), True),
    (ask.lid_is_back, (81.4, 80.0), False),
    (ask.lid_was_shut, (104.0, 80.0, 120.0), True),
    (ask.lid_was_shut, (103.9, 80.0, 120.0), False),
]


@pytest.mark.parametrize(("question", "numbers", "answer"), TABLE)
def test_at_the_bound_and_beside_it(question: Any, numbers: tuple[Any, ...], answer: bool):
    assert question(*numbers) is answer


def test_every_interlock_is_asked_about_on_both_sides_of_its_bound():
    questions = {name for name in vars(ask) if callable(getattr(ask, name)) and not name.startswith("_")}
    asked = {row[0].__name__ for row in TABLE}
    assert questions == asked
    for name in asked:
        assert {row[2] for row in TABLE if row[0].__name__ == name} == {True, False}, name


@pytest.mark.parametrize("mode", ["hold", "drive", "bank", "off"])
def test_a_lid_left_open_is_told_after_twenty_minutes_where_air_is_wanted(mode: str):
    see = See()
    see.mode, see.lid.is_open = mode, True
    see.lid.open_s = 1199.0
    assert see.step().kind("lid_left_open") == ""
    see.lid.open_s = 1200.0
    see.step()
    assert see.kind("lid_left_open") == ("notice" if mode in ("hold", "drive") else "")
    see.lid.is_open = False
    see.step()
    see.book.acknowledge("all")
    assert see.book.alerts == {}


@pytest.mark.parametrize("mode", ["hold", "drive", "bank", "off"])
def test_a_lid_that_is_only_guessed_to_be_shut_is_told_after_five_minutes_in_doubt(mode: str):
    see = See()
    see.mode, see.lid.in_doubt = mode, True
    assert see.step(299).kind("lid_left_open") == ""
    see.step()
    assert see.kind("lid_left_open") == ("notice" if mode in ("hold", "drive") else "")
    assert see.stop == (mode in ("off", "bank"))
    see.lid.in_doubt = False
    see.step()
    see.book.acknowledge("all")
    assert see.book.alerts == {}


def test_a_lid_that_is_told_open_under_a_pit_that_is_back_is_asked_about_at_once():
    see = See()
    see.lid.is_open = see.lid.in_doubt = True
    assert see.step().kind("lid_left_open") == "notice"


def test_a_stone_without_a_value_is_told_only_if_there_ever_was_one():
    see = See()
    see.notices = Notices(see.book)
    see.stone.value_c, see.stone.fault = None, "open"
    assert see.step(5).kind("stone_sensor") == ""
    see.stone.value_c, see.stone.fault = 200.0, ""
    assert see.step(5).kind("stone_sensor") == ""
    see.stone.value_c, see.stone.fault = None, "open"
    assert see.step().kind("stone_sensor") == "notice"
    assert not see.stop
    see.stone.fault = ""
    see.book.acknowledge("stone_sensor")
    assert see.step().kind("stone_sensor") == ""


def test_starved_hot_from_200_down_to_150():
    see = See()
    see.mode = "bank"
    assert see.at(200.0).step().kind("starved_hot") == ""
    see.air_shut = True
    assert see.at(199.75).step().kind("starved_hot") == ""
    assert see.at(200.0).step().kind("starved_hot") == "notice"
    see.air_shut = False
    assert see.at(150.0).step().kind("starved_hot") == "notice"
    see.pit.value_c = None
    assert see.step().kind("starved_hot") == "notice"
    assert see.at(149.75).step().kind("starved_hot") == ""


# ---- a probe that lies ------------------------------------------------------------------------


def falling(seconds: int, board_c: float | None = 30.0, by_c: float = 0.05) -> See:
    """A cold start with air, the pit's number falling from 28 degC by `by_c` each second."""
    see = See()
    see.asked, see.inputs.board_c = 1.0, board_c
    for k in range(seconds):
        see.at(28.0 - by_c * k).step()
    return see


def test_a_number_that_falls_under_the_first_air_is_a_probe_with_swapped_wires():
    # It settles for 60 s, then must fall by 4 degC: the 61st second begins at 25 degC, 80 steps of 0.05 to 21 degC.
    assert falling(140).pit.condemned == ""
    see = falling(142)
    assert see.pit.condemned == "reversed"
    assert (see.kind("pit_sensor"), see.stop) == ("pause", True)


def test_the_settling_is_counted_to_the_second_and_a_probe_without_a_value_is_passed_over():
    for before in ("start", "lid"):
        see = See()
        see.asked, see.inputs.board_c = 1.0, 40.0
        if before == "lid":
            see.at(30.0).step(30)
            see.lid.is_open = True
            see.step()
            see.lid.is_open = False
        see.at(30.0).step(59)
        see.at(25.0).step()  # the 60th second: still settling
        see.at(26.0).step()  # the 61st: this is where it begins
        see.pit.raw_c = None
        see.step(5)
        assert see.at(22.25).step().pit.condemned == ""
        assert see.at(22.0).step().pit.condemned == "reversed"
    early = See()
    early.asked, early.inputs.board_c = 1.0, 40.0
    early.at(30.0).step(60)
    early.at(30.0).step()
    assert early.at(26.0).step().pit.condemned == "reversed"


def test_without_a_second_sign_or_without_air_nothing_is_said():
    assert falling(400, board_c=None).pit.condemned == ""
    assert falling(300, board_c=12.0, by_c=0.05).pit.condemned == ""
    idle = See()
    idle.asked, idle.inputs.board_c = 0.0, 30.0
    for k in range(400):
        idle.at(28.0 - 0.05 * k).step()
    assert idle.pit.condemned == ""


def test_a_probe_that_rose_once_is_never_called_swapped():
    see = falling(70, by_c=0.0)
    for k in range(81):
        see.at(28.0 + 0.05 * k).step()
    for k in range(600):
        see.at(32.0 - 0.05 * k).step()
    assert see.pit.condemned == ""


def test_a_lifted_lid_begins_the_first_heating_anew():
    see = falling(120)
    see.lid.is_open = True
    see.step()
    see.lid.is_open = False
    for k in range(60):
        see.at(22.0 - 0.05 * k).step()
    assert see.pit.condemned == ""
    for k in range(100):
        see.at(19.0 - 0.05 * k).step()
    assert see.pit.condemned == "reversed"


def test_a_hot_pit_that_has_not_moved_since_before_the_lid_went_up_is_frozen():
    see = See()
    see.lid.is_open, see.lid.open_s, see.pit.noise.same_s = True, 30.0, 29.0
    assert see.step().pit.condemned == ""
    see.pit.noise.same_s = 30.0
    assert see.step().pit.condemned == "frozen"
    see.pit.pardon()
    assert see.pit.condemned == ""


def test_noise_turns_back_by_several_steps_and_a_slow_coarse_probe_does_not():
    quiet, noisy, lid = Noise(), Noise(), Noise()
    for k in range(2000):
        quiet.take(120.0 + 0.25 * (k % 60 < 30), 1.0)  # two steps of the chip, one at a time
        noisy.take(120.0 + 0.25 * (0, 1, -1, 0, 0)[k % 5], 1.0)  # one step up, two down
    for k in range(200):
        lid.take(120.0 - abs(100.0 - k) * 0.1, 1.0)  # up and down like a pit under a lid
    assert quiet.turns == 0.0
    assert noisy.turns > 6.0
    assert lid.turns < 6.0


TURNS = [
    # The numbers one second apart, and how many turns that only noise can make.
    ((120.0, 120.25, 119.75), 1.0),  # one step up, two down
    ((120.0, 119.75, 120.25), 1.0),
    ((120.0, 120.25, 120.0), 0.0),  # one up, one down
    ((120.0, 120.25, 120.75), 0.0),  # no turn at all
    ((120.0, 120.25, 119.8125), 1.0),  # 2.75 steps in all: the bound
    ((120.0, 120.25, 119.82), 0.0),
    ((120.0, 120.25, 120.25, 119.75), 0.0),  # it stood in between
    ((120.0, 120.25, 119.25, 119.5, 119.0), 2.0 - 1.0 / 1200.0 + 1.0 - 1.0 / 1200.0 - (1.0 - 1.0 / 1200.0) / 1200.0),
    ((120.0, 120.25, 117.3125), 1.0),
    ((120.0, 120.25, 117.25), 0.0),  # 3 degC in one second is a lie, not noise,
    ((120.0, 120.25, 117.25, 117.5), 0.0),  # nor is what comes after it
    ((120.0, 120.02, 119.984), 1.0),  # a fine chip: less than 0.02 degC is taken for 0.02
    ((120.0, 120.02, 119.986), 0.0),
    ((120.0, 120.01, 119.97), 0.0),
]


@pytest.mark.parametrize(("numbers", "turns"), TURNS)
def test_a_turn_is_two_and_three_quarter_steps_without_a_stop(numbers: tuple[float, ...], turns: float):
    noise = Noise()
    assert (noise.same_s, noise.turns, noise._change_c) == (0.0, 0.0, 0.0)
    for number in numbers:
        noise.take(number, 1.0)
    assert noise.turns == pytest.approx(turns, abs=1e-12)


def test_a_coarse_quiet_probe_that_lies_now_and_then_is_not_called_frozen():
    """Steps of 1 degC, a single sample 6 degC off every five minutes, and one number in between: it may be true."""
    pit = Reading((-40.0, 700.0), 12.0)
    for k in range(7200):
        pit.accept(121.0 + 6.0 * (k % 300 == 150) + (k % 600 == 0), "")
    assert (pit.noise.turns, pit.fault) == (0.0, "")


def test_after_a_very_long_step_nothing_is_left_of_turns():
    noise = Noise()
    for k in range(40):
        noise.take((120.0, 120.25, 119.75)[k % 3], 1.0)
    noise.take(130.0, 2400.0)
    assert noise.turns == 0.0


def test_how_long_the_same_and_how_turns_are_forgotten():
    noise = Noise()
    for k in range(40):
        noise.take(120.0 + 0.5 * (k % 2) + 0.25 * (k == 0), 1.0)
    assert noise.turns == 10.0  # the most that is counted
    for _ in range(500):
        noise.take(120.5, 1.0)
    assert (noise.same_s, noise.turns) == (500.0, 10.0)
    for k in range(1200):
        noise.take(120.5 + 0.25 * (k + 1), 1.0)
    assert noise.turns == pytest.approx(10.0 * (1.0 - 1.0 / 1200.0) ** 1200)
    assert noise.same_s == 0.0


# ---- parts: each only where it is measured --------------------------------------------------


def test_a_part_without_its_sensor_is_not_watched():
    see = See()
    see.out.drive, see.out.opening, see.inputs.damper_watched = 1.0, 1.0, False
    assert see.step(600).book.alerts == {}


def test_a_blower_that_is_driven_and_does_not_turn():
    see = See()
    see.out.drive, see.inputs.tach_rpm = 0.3, 199.0
    assert see.first_s("blower_fault") == 10
    assert see.kind("blower_fault") == "trip"
    see.inputs.tach_rpm = 3000.0
    see.step()
    see.book.acknowledge("blower_fault")
    assert see.step().kind("blower_fault") == ""
    see.inputs.tach_rpm = 199.0
    see.step(9)
    see.inputs.tach_rpm = 200.0
    see.step()
    see.inputs.tach_rpm = 199.0
    assert see.step(9).kind("blower_fault") == ""


def test_a_blower_that_turns_undriven():
    see = See()
    see.out.drive, see.inputs.tach_rpm = 0.0, 1001.0
    assert see.first_s("blower_stuck_on") == 10
    assert see.kind("blower_stuck_on") == "notice"
    calm = See()
    calm.out.drive, calm.inputs.tach_rpm = 0.0, 1000.0
    assert calm.step(60).kind("blower_stuck_on") == ""
    driven = See()
    driven.out.drive, driven.inputs.tach_rpm = 0.05, 4000.0
    assert driven.step(60).kind("blower_stuck_on") == ""
    driven.out.drive = 0.0
    driven.step(9)
    driven.out.drive = 0.1
    driven.step()
    driven.out.drive = 0.0
    assert driven.step(9).kind("blower_stuck_on") == ""


def test_a_damper_that_is_not_where_it_should_be():
    see = See()
    see.out.opening, see.inputs.damper_pos = 1.0, 0.74
    assert see.first_s("damper_fault") == 20
    assert see.kind("damper_fault") == "notice"
    assert not see.stop
    for wanted, position in ((None, 0.0), (0.5, None), (1.0, 0.75)):
        well = See()
        well.out.opening, well.inputs.damper_pos = wanted, position
        assert well.step(60).book.alerts == {}
    halfway = See()
    halfway.out.opening = 0.0
    assert halfway.first_s("damper_fault") == 20
    moved = See()
    moved.out.opening, moved.inputs.damper_pos = 1.0, 0.0
    moved.step(19)
    moved.inputs.damper_pos = 1.0
    moved.step()
    moved.inputs.damper_pos = 0.0
    assert moved.step(19).book.alerts == {}


@pytest.mark.parametrize(
    ("field", "well", "ill", "back", "name", "after_s", "back_s"),
    [("board_c", 69.9, 70.0, 64.9, "board_hot", 1, 1), ("supply_v", 10.5, 10.4, 11.0, "supply_low", 3, 240)],
)
def test_board_and_supply_pause_and_let_go_by_themselves(
    field: str, well: float, ill: float, back: float, name: str, after_s: int, back_s: int
):
    see = See()
    setattr(see.inputs, field, well)
    assert see.step(300).book.alerts == {}
    setattr(see.inputs, field, ill)
    assert see.first_s(name) == after_s
    assert see.kind(name) == "pause"
    assert (see.stop, see.verdict.damper) == (True, 0.1)
    setattr(see.inputs, field, well)
    assert see.step(600).stop  # between its bounds it stays as it was
    setattr(see.inputs, field, back)
    assert see.step(back_s - 1).stop
    see.step()
    assert (see.stop, see.verdict.damper) == (False, 1.0)
    assert see.kind(name) == "pause"  # shown until acknowledged


def test_the_seconds_of_a_supply_must_be_in_a_row():
    see = See()
    for _ in range(5):
        see.inputs.supply_v = 10.0
        see.step(2)
        see.inputs.supply_v = 10.5
        assert see.step().book.alerts == {}
    see.inputs.supply_v = 10.0
    assert see.step(3).kind("supply_low") == "pause"
    assert see.book.alerts["supply_low"].limit == 10.5
    see.inputs.supply_v = 12.0
    see.step(239)
    see.inputs.supply_v = 10.9
    see.step()
    see.inputs.supply_v = 12.0
    assert see.step(239).stop
    assert not see.step().stop


def test_a_blower_that_pulls_a_weak_supply_down_is_three_alarms_in_ten_minutes_at_most():
    see, raised = See(), 0
    for _ in range(600):
        see.inputs.supply_v = 12.0 if see.stop else 10.0
        before = len(see.told)
        see.step()
        raised += sum(row[0] == "alert" for row in see.told[before:])
        see.book.acknowledge("all")
    assert raised == 3


def test_hot_gas_through_a_blower_that_stands_still():
    see = See()
    see.inputs.board_c, see.out.drive = 60.0, 0.0
    assert see.first_s("back_draft") == 180
    assert see.kind("back_draft") == "notice"
    driven = See()
    driven.inputs.board_c, driven.out.drive = 60.0, 0.0
    driven.step(179)
    driven.out.drive = 0.1
    driven.step()
    driven.out.drive = 0.0
    assert driven.step(179).book.alerts == {}


def test_the_seconds_of_a_part_begin_at_nothing_again():
    see = See()
    see.inputs.tach_rpm, see.inputs.damper_pos, see.out.opening = 0.0, 0.0, 1.0
    see.out.drive = 0.3
    see.step(5)
    see.inputs.tach_rpm, see.inputs.damper_pos = 3000.0, 1.0
    see.step()
    see.inputs.tach_rpm, see.inputs.damper_pos = 0.0, 0.0
    assert see.first_s("blower_fault") == 10
    assert see.first_s("damper_fault") == 10  # the second ten of twenty
    see = See()
    see.inputs.tach_rpm, see.inputs.board_c, see.out.drive = 4000.0, 65.0, 0.0
    see.step(5)
    see.out.drive = 0.2
    see.step()
    see.out.drive = 0.0
    assert see.first_s("blower_stuck_on") == 10
    assert see.first_s("back_draft") == 170


def test_seconds_at_the_bound_itself_do_not_count():
    see = See()
    see.inputs.tach_rpm, see.inputs.damper_pos = 1000.0, 0.75
    see.out.drive, see.out.opening = 0.0, 1.0
    see.step(60)
    see.inputs.tach_rpm, see.inputs.damper_pos = 1001.0, 0.74
    assert see.step(9).book.alerts == {}


# ---- what the fire does against what its air should do --------------------------------------


def held(usual: float = 0.2) -> See:
    """A hold that has been steady for ten minutes on its usual air."""
    see = See()
    see.asked = usual
    return see.step(600)


def test_much_air_without_heat_is_told_after_four_minutes_of_a_steady_hold():
    see = held()
    see.asked = 0.34
    see.at(114.9)
    assert see.first_s("fuel_out") == 240
    assert (see.kind("fuel_out"), see.stop) == ("notice", False)
    assert see.book.alerts["fuel_out"].limit == 120.0


def test_a_fire_starved_for_a_lower_target_is_given_an_hour_and_a_half_to_grow_again():
    see = held()
    see.target_c, see.asked = 110.0, 0.6
    see.at(100.0)
    assert see.first_s("fuel_out", 6000) == 5400 + 360 - 1  # the last of the waiting is the first of the weak seconds
    higher = held()
    higher.target_c, higher.asked = 130.0, 0.6
    assert higher.at(120.0).first_s("fuel_out") == 360


def test_before_it_was_steady_it_takes_six_minutes_and_air_for_a_hungry_cooker():
    see = See()
    see.asked = 0.39
    assert see.at(114.9).step(1000).book.alerts == {}
    see.asked = 0.41
    assert see.first_s("fuel_out") == 360


def test_before_the_first_hold_residuals_say_nothing():
    see = See()
    see.hold.held_once = False
    see.asked = 0.6
    assert see.at(100.0).step(3000).book.alerts == {}


@pytest.mark.parametrize(("coast", "wait_s"), [(1.5, 810), (2.0, 960)], ids=["within", "past the most"])
def test_a_slow_cooker_is_given_longer_by_the_cube(coast: float, wait_s: int):
    see = held()
    see.hold.slow.coast = coast
    see.hold.see.scale = 9.0  # what its overshoots made of it counts for nothing
    see.asked = 0.6
    assert see.at(110.0).first_s("fuel_out") == wait_s


def test_good_seconds_count_twice():
    see = held()
    see.asked = 0.6
    see.at(110.0).step(200)
    see.pit_line.slope = 0.002
    see.step(50)
    see.pit_line.slope = 0.0
    assert see.first_s("fuel_out") == 140
    again = held()
    again.asked = 0.6
    again.at(110.0).step(20)
    again.pit_line.slope = 0.002
    again.step(100)
    again.pit_line.slope = 0.0
    assert again.first_s("fuel_out") == 240


def test_the_notice_is_over_when_the_pit_is_back():
    see = held()
    see.asked = 0.6
    see.at(110.0).step(240)
    see.asked = 0.2
    see.at(117.0).step()
    assert see.book.alerts["fuel_out"].active
    see.step(600)
    see.at(117.25).step()
    assert not see.book.alerts["fuel_out"].active


def test_residuals_wait_a_quarter_of_an_hour_after_the_lid():
    see = held()
    see.asked = 0.6
    see.at(110.0)
    see.lid.shut_s = 899.0
    assert see.step(1000).kind("fuel_out") == ""
    see.lid.shut_s = 900.0
    assert see.first_s("fuel_out") == 240


def test_residuals_are_for_holding():
    see = held()
    see.asked, see.mode = 0.6, "drive"
    assert see.at(110.0).step(1000).kind("fuel_out") == ""
    see.mode = "hold"
    assert see.first_s("fuel_out") == 360  # another mode: not steady any more, and 0.6 is more than 1.4 * 0.25 + 0.05


def heating(usual: float = 0.2) -> See:
    """Air cut, the fire small, and the pit rises all the same."""
    see = held(usual)
    see.asked, see.hold.see.x2 = 0.0, 0.2 if usual > 0.2 else 0.9 * usual
    see.pit_line.slope = -0.004
    return see.at(123.5)


def test_a_pit_that_heats_by_itself_has_air_from_somewhere():
    see = heating()
    assert see.first_s("blower_stuck_on") == 150
    assert (see.kind("blower_stuck_on"), see.watch.stuck_on, see.stop) == ("notice", True, False)


def test_it_is_over_when_the_pit_is_back_and_somebody_has_seen_it():
    see = heating().step(150)
    see.pit_line.slope = -0.01
    see.at(123.0).step(100)
    assert see.book.alerts["blower_stuck_on"].active
    see.at(122.75).step()
    assert not see.book.alerts["blower_stuck_on"].active
    assert see.watch.stuck_on
    see.book.acknowledge("blower_stuck_on")
    see.step()
    assert not see.watch.stuck_on


def test_seconds_without_it_are_taken_back():
    see = heating().step(80)
    see.pit_line.slope = -0.005
    see.step(60)
    see.pit_line.slope = -0.004
    assert see.first_s("blower_stuck_on") == 100  # 150 - (80 - 60 / 2)


@pytest.mark.parametrize("scale", [1.5, 2.0], ids=["within", "past the most"])
def test_a_slow_cooker_has_longer_before_its_blower_is_called_stuck(scale: float):
    see = heating()
    see.hold.slow.coast = scale
    see.hold.see.scale = 9.0  # what its own overshoot made of it counts for nothing
    assert see.first_s("blower_stuck_on") == 338  # 150 times 1.5 squared, in whole seconds


def test_a_hold_that_was_never_steady_is_not_judged_so():
    see = See()
    see.at(126.0)
    see.asked, see.pit_line.slope = 0.0, 0.02
    assert see.step(1200).book.alerts == {}


def test_the_usual_air_follows_over_half_an_hour_and_begins_with_what_there_is():
    see = See()
    watch = Watch(see.book)
    see.asked = 0.3
    watch.step(see, 1.0, 0)
    assert watch.usual == pytest.approx(0.3)
    see.asked = 0.5
    watch.step(see, 18.0, 0)
    assert watch.usual == pytest.approx(0.302)  # a hundredth of the way: 18 s of 1800 s
    small = Watch(see.book)
    see.asked = 0.0
    small.step(see, 1.0, 0)
    assert small.usual == pytest.approx(0.02, rel=0.01)


def test_what_is_not_steady_teaches_nothing_and_begins_the_ten_minutes_anew():
    see = See().step(598)
    see.at(117.0).step()
    see.at(120.0)
    see.asked, see.hold.see.x2, see.pit_line.slope = 0.2, 0.2, 0.0
    see.step(599)
    see.asked = 0.34
    see.at(114.9)
    assert see.first_s("fuel_out", 300) is None
    usual = see.watch.usual
    see.step(100)
    assert see.watch.usual == usual


COUNTED = ("_steady_s", "_weak_s", "_heating_s")


def counted(watch: Watch) -> list[float]:
    return [getattr(watch, name) for name in COUNTED]


def dirty(see: See) -> Watch:
    """A watch in the middle of everything."""
    watch = Watch(AlertBook(lambda *row: None))
    watch.step(see, 1.0, 0)
    for name in COUNTED:
        setattr(watch, name, 50.0)
    return watch


def test_a_watch_begins_with_nothing_counted():
    watch = Watch(AlertBook(print))
    assert counted(watch) == [0.0] * 3
    assert (watch.usual, watch.stuck_on) == (0.0, False)


@pytest.mark.parametrize("what", ["target", "mode", "acknowledged"])
def test_to_wait_anew_is_to_begin_with_nothing(what: str):
    see = See()
    watch = dirty(see)
    if what == "target":
        see.target_c = 123.0
    elif what == "mode":
        see.mode = "drive"
    else:
        see.agreed.acknowledged()
    see.short_c = 50.0
    watch.step(see, 1.0, 0)
    assert counted(watch) == [0.0] * 3


@pytest.mark.parametrize(("by_c", "anew"), [(-2.75, False), (2.75, False), (-3.0, True), (3.0, True)])
def test_a_target_moved_by_less_than_a_hold_wavers_is_the_same_target(by_c: float, anew: bool):
    see = See()
    watch = dirty(see)
    see.target_c = 120.0 + by_c
    watch.step(see, 1.0, 0)
    assert (watch._weak_s == 0.0) == anew
    assert (watch._lowered_s == 1.0) == (anew and by_c < 0.0)
    see.target_c = 120.0 + 1.5 * by_c  # crumbs add up: it is measured from where the waits began
    watch._weak_s = 50.0
    watch.step(see, 1.0, 0)
    assert (watch._weak_s == 0.0) == (not anew)


@pytest.mark.parametrize("why", ["lid", "value", "paused", "mode", "just shut"])
def test_while_nothing_can_be_said_nothing_is_counted(why: str):
    see = See()
    watch = dirty(see)
    see.lid.is_open = why == "lid"
    if why == "paused":
        watch.book.put("board_hot", "pause", 70.0, None, 0)
        see.book = watch.book
    if why == "value":
        see.pit_line.level = None
    if why == "just shut":
        see.lid.shut_s = 899.0
    if why == "mode":
        see.agreed.mode = "drive"
    watch.step(see, 1.0, 0)
    assert counted(watch) == [50.0, 0.0, 0.0]


def test_bad_and_good_seconds_are_weighed_by_how_long_they_were():
    see = See()
    watch = dirty(see)
    watch._steady_s, watch.usual = 700.0, 0.2
    see.at(119.0)
    watch.step(see, 4.0, 0)
    assert watch._weak_s == 42.0  # two for one
    assert watch._heating_s == 48.0  # a half for one


# ---- permission ------------------------------------------------------------------------------


def test_the_permission_ends_between_two_and_three_quarters_and_three_seconds():
    assert (permit.PERMIT_MS, permit.CHECK_MS) == (2700, 250)  # together 2.95 s at most
    blower = SimpleNamespace(offs=0)
    blower.off = lambda: setattr(blower, "offs", blower.offs + 1)
    now = [0]
    one = permit.Permit(blower, lambda: now[0], lambda a, b: a - b)
    one.check()
    assert (blower.offs, one.expired) == (0, 0)  # never given, nothing to take
    one.renew()
    now[0] = 2699
    one.check()
    assert blower.offs == 0
    now[0] = 2700
    one.check()
    one.check()
    assert (blower.offs, one.expired) == (1, 1)
    one.renew()
    now[0] = 5400
    one.check()
    assert (blower.offs, one.expired) == (2, 2)


@pytest.mark.parametrize("left_out", [permit.SENSOR, permit.CONTROL, permit.INTERLOCK, permit.OUTPUT, 0])
def test_the_watchdog_is_fed_for_all_four_and_for_nothing_less(left_out: int):
    fed: list[int] = []
    proof = permit.Proof(lambda: fed.append(1))
    proof.did(permit.SENSOR)
    proof.begin()
    for part in (permit.SENSOR, permit.CONTROL, permit.INTERLOCK, permit.OUTPUT):
        if part != left_out:
            proof.did(part)
    assert proof.settle() is (left_out == 0)
    assert fed == ([1] if left_out == 0 else [])
    assert proof.settle() is False


@pytest.mark.parametrize("before", ["new", "settled"])
def test_nothing_is_taken_as_done_that_was_not_said_to_be(before: str):
    fed: list[int] = []
    proof = permit.Proof(lambda: fed.append(1))
    if before == "settled":
        proof.settle()
    for part in (permit.CONTROL, permit.INTERLOCK, permit.OUTPUT):
        proof.did(part)
    assert proof.settle() is False
    for part in (permit.SENSOR, permit.CONTROL, permit.INTERLOCK, permit.OUTPUT):
        proof.did(part)
    assert proof.settle() is True
    whole = permit.Proof(lambda: fed.append(1))
    for part in (permit.SENSOR, permit.CONTROL, permit.INTERLOCK, permit.OUTPUT):
        whole.did(part)
    assert whole.settle() is True
    assert len(fed) == 2
