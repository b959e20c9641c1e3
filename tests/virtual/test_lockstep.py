"""The whole firmware under MicroPython in lock-step: what it does from its first second on."""

from __future__ import annotations

import itertools
import json

import pytest

from emberboard.boards import virtual as pins
from tests.proof.fixture import Proof
from tests.virtual.conftest import SmallWorld, interpreter_or_skip


def test_heat_rises_after_an_accepted_order_and_every_record_arrives(start, ceramic):
    cook = start(ceramic, settings={"damper": True})
    ceramic.light()
    cook.hold()
    cook.run(240.0)
    assert [reply["code"] for reply in cook.of("reply")] == [""]
    assert cook.readings[-1]["mode"] == "hold"
    assert cook.readings[-1]["pit_c"] > cook.readings[0]["pit_c"] + 5.0
    seqs = sorted(row["seq"] for row in cook.rows)
    assert seqs == list(range(len(seqs)))
    assert len(cook.readings) >= 240


def test_readings_are_one_a_second_to_the_millisecond(start):
    cook = start()
    cook.run(60.0)
    times = [row["ms"] for row in cook.readings]
    assert {after - before for before, after in itertools.pairwise(times)} == {1000}


def test_a_reading_is_what_the_chips_measure(start):
    cook = start(SmallWorld(pit_c=20.0))
    reading = cook.readings[-1]
    assert reading["pit_c"] == pytest.approx(20.0, abs=0.05)
    assert reading["stone_c"] == pytest.approx(40.0, abs=0.05)
    assert reading["core_c"][0] == pytest.approx(4.0, abs=0.1)
    assert reading["board_c"] == pytest.approx(25.0, abs=0.05)


def test_at_boot_there_is_no_air_and_the_damper_is_not_touched(start):
    cook = start(settings={"damper": True})
    assert cook.board.drive == 0.0
    assert cook.board.opening is None


def test_the_blower_follows_the_reading(start):
    cook = start()
    cook.hold()
    cook.run(30.0)
    assert cook.board.drive == pytest.approx(cook.readings[-1]["drive"], abs=0.001)
    assert cook.board.drive > 0.2


@pytest.mark.parametrize("how", ["open", "short"])
def test_an_unplugged_pit_probe_stops_the_blower_within_three_samples(start, how):
    cook = start()
    cook.hold()
    cook.run(30.0)
    before = len(cook.readings)
    cook.board.unplug("pit", how)
    cook.run(6.0)
    after = [row for row in cook.readings[before:] if row["pit_fault"]]
    assert after[0]["drive"] > 0.0  # one bad sample is forgiven
    assert after[2]["drive"] == 0.0
    assert cook.board.drive == 0.0
    assert "pit_sensor" in [each["id"] for each in cook.of("alert/pit_sensor") if each]


@pytest.mark.parametrize("level", ["low", "high"])
def test_a_stuck_bus_stops_the_blower(start, level):
    cook = start()
    cook.hold()
    cook.run(30.0)
    cook.board.stick_bus(level)
    cook.run(5.0)
    assert cook.readings[-1]["pit_fault"] == "bus_" + level
    assert cook.board.drive == 0.0


def test_a_food_probe_that_is_unplugged_is_told_and_the_pit_is_held(start):
    cook = start()
    cook.hold()
    cook.run(20.0)
    cook.board.unplug(0, "open")
    cook.run(5.0)
    assert cook.readings[-1]["core_fault"] == ["open"]
    assert cook.readings[-1]["core_c"] == [None]
    assert cook.board.drive > 0.0


def test_the_lid_button_takes_the_air_away_at_once(start):
    cook = start()
    cook.hold()
    cook.run(30.0)
    assert cook.board.drive > 0.0
    cook.board.press_lid_button()
    cook.run(0.25)
    assert cook.board.drive == 0.0
    cook.run(3.0)
    assert cook.readings[-1]["lid_open"]
    assert cook.board.drive == 0.0


def test_an_endless_loop_is_bitten_and_the_board_comes_back_without_air(start):
    cook = start()
    cook.hold()
    cook.run(30.0)
    hung_s = cook.board.now_s
    cook.board.hang()
    blows = []
    cook.run(4.0, lambda now_s: blows.append((now_s, cook.board.drive)))
    assert cook.board.bites == 1
    assert all(drive == 0.0 for now_s, drive in blows if now_s > hung_s + 3.0)
    cook.run(12.0)
    assert cook.board.boots == 2
    assert cook.readings[-1]["mode"] == "off"
    assert cook.board.drive == 0.0
    assert [event["text"] for event in cook.events if event["kind"] == "boot"][-1] == "watchdog"


def test_an_exception_ends_with_no_air_and_a_reset(start):
    cook = start()
    cook.hold()
    cook.run(20.0)
    cook.board.throw()
    cook.run(2.0)
    assert cook.board.drive == 0.0
    cook.run(14.0)
    assert cook.board.boots == 2
    assert cook.board.bites == 0
    assert "a demonstration" in cook.board.console()
    boot = [event for event in cook.events if event["kind"] == "boot"][-1]
    assert (boot["value"], boot["text"]) == (1.0, "exception")


def test_after_three_starts_that_failed_it_stays_off(start):
    cook = start()
    for _ in range(3):
        cook.board.throw()
        cook.run(14.0)
    cook.hold()
    cook.run(10.0)
    assert cook.board.drive == 0.0
    assert "boot_failed" in [each["id"] for each in cook.of("alert/boot_failed") if each]


def test_power_comes_back_without_air_and_with_other_numbers(start):
    cook = start()
    first = cook.boot
    cook.hold()
    cook.run(20.0)
    cook.board.power_cut(8.0)
    assert cook.board.drive == 0.0
    cook.run(24.0)
    assert cook.boot != first
    assert cook.readings[-1]["mode"] == "off"
    assert [event["text"] for event in cook.events if event["kind"] == "boot"][-1] == "power"


def test_power_may_be_cut_from_within_a_second(start):
    cook = start()
    cook.run(8.0, lambda now_s: cook.board.power_cut(3.0) if int(now_s) == 15 else None)
    assert cook.board.boots == 2
    cook.run(14.0)
    assert cook.board.boots == 2
    assert [event["text"] for event in cook.events if event["kind"] == "boot"][-1] == "power"


def test_a_trip_stands_over_a_reboot(start):
    world = SmallWorld()
    cook = start(world)
    cook.hold()
    cook.run(10.0)
    world.pit_c = 380.0
    cook.run(5.0)
    assert cook.board.drive == 0.0
    cook.board.power_cut(2.0)
    world.pit_c = 100.0
    cook.run(14.0)
    cook.hold()
    cook.run(5.0)
    assert cook.board.drive == 0.0
    assert cook.of("alert/pit_over_limit")[-1]["kind"] == "trip"
    assert "pit_over_limit" in json.loads((cook.board.flash / "kept.json").read_text())["trips"]


def test_wrong_settings_keep_the_air_off_and_are_named(start):
    cook = start(settings={"mains_hz": 55})
    cook.hold()
    cook.run(10.0)
    assert cook.board.drive == 0.0
    assert "mains_hz: one of 50, 60" in " ".join(event["text"] for event in cook.events)
    assert "settings_bad" in [each["id"] for each in cook.of("alert/settings_bad") if each]


def test_the_damper_moves_with_the_orders(start):
    cook = start(settings={"damper": True})
    cook.hold()
    cook.run(20.0)
    assert cook.board.opening == pytest.approx(cook.readings[-1]["opening"], abs=0.01)
    cook.order(2, "mode", mode="bank")
    cook.run(3.0)
    assert cook.board.opening == pytest.approx(0.0, abs=0.01)


def test_a_blower_that_does_not_turn_is_a_trip_with_its_speed_wire(start, ceramic):
    cook = start(ceramic, settings={"tach": True})
    ceramic.light()
    cook.hold()
    cook.run(40.0)
    assert "blower_fault" not in [each["id"] for each in cook.of("alert/blower_fault") if each]
    cook.board.stick_blower(0.0)
    cook.run(30.0)
    assert cook.of("alert/blower_fault")[-1]["kind"] == "trip"
    assert cook.board.drive == 0.0


def test_a_pull_alarm_sounds_without_the_host(start):
    world = SmallWorld()
    cook = start(world)
    cook.hold()
    cook.order(2, "pieces", pull_c=[57.0])
    cook.run(5.0)
    cook.peer.online = False
    world.core_c = 58.0
    levels = set()
    cook.run(10.0, lambda _now_s: levels.add(cook.board.pin(pins.LIGHT)))
    assert 1 in levels


def test_the_host_away_for_a_while_loses_nothing(start):
    cook = start()
    cook.peer.online = False
    cook.run(60.0)
    cook.peer.online = True
    cook.run(60.0)
    seqs = sorted({row["seq"] for row in cook.rows})
    assert seqs == list(range(len(seqs)))
    assert any(row.get("late") for row in cook.rows)


def air_of(start, network, seconds=180.0):
    """What the blower's pin carried, second by second, with the network as `network(peer, second)` has it."""
    cook = start()
    cook.hold()
    cook.run(5.0)
    drives = []

    def each(now_s):
        network(cook.peer, int(now_s))
        drives.append(cook.board.drive)

    cook.run(seconds, each)
    return drives


def up(_peer, _second):
    """All is well."""


def frozen(peer, _second):
    """The connection stands; nobody answers any more."""
    peer.online = False


def down(peer, _second):
    """What there was is reset, and nothing new is to be had."""
    peer.down = True


def flapping(peer, second):
    """Away for 25 s of 40, by silence and by resets in turn."""
    peer.online = second % 40 < 15 or second % 80 >= 40
    peer.down = second % 80 >= 55


NETWORKS = (frozen, down, flapping)


def test_control_is_the_same_to_the_bit_whatever_the_network_does(start):
    steady = air_of(start, up)
    assert max(steady) > 0.0
    for network in NETWORKS:
        assert air_of(start, network) == steady, network.__name__


@pytest.mark.prove("Control beside the network", proves=["firmware", "host/emberdraft/virtual"])
def test_six_hours_are_the_same_to_the_bit_whatever_the_network_does(start, proof: Proof):
    steady = air_of(start, up, 6 * 3600.0)
    for network in NETWORKS:
        here = air_of(start, network, 6 * 3600.0)
        other = sum(one != two for one, two in zip(here, steady, strict=True))
        name = f"6 h of holding, network {network.__name__}: seconds with other air than with it up"
        proof.promise(name, other, equals=0, note=f"of {len(steady)}")


def test_nonsense_from_the_network_leaves_control_alone(start):
    cook = start()
    cook.hold()
    cook.run(5.0)
    for junk in (b"\x00" * 64, b"\xff" * 300, b"\x30\xff\xff\xff\xff\x01", bytes(range(256)) * 4):
        cook.peer.outgoing += junk
        cook.run(10.0)
    assert cook.board.boots == 1
    assert cook.board.drive > 0.0
    cook.run(60.0)
    assert cook.peer.connections > 1
    assert cook.readings[-1]["mode"] == "hold"


def published(tmp_path, name, interpreter, seconds, seed=7):
    from emberdraft.plant.heavy_ceramic import HeavyCeramic
    from emberdraft.plant.world import World
    from emberdraft.virtual.board import VirtualBoard
    from tests.virtual.conftest import Cook

    board = VirtualBoard(
        World(HeavyCeramic(seed=seed), seed=seed), seed=seed, interpreter=interpreter, work_dir=tmp_path / name
    )
    with board:
        cook = Cook(board)
        cook.run(12.0)
        cook.hold()
        cook.run(30.0)
        board.unplug("stone")
        board.press_lid_button()
        cook.run(20.0)
        board.hang()
        cook.run(seconds)
    return cook


def test_two_runs_of_a_seed_are_the_same_bytes(tmp_path):
    interpreter = interpreter_or_skip()
    first = published(tmp_path, "a", interpreter, 60.0).said
    second = published(tmp_path, "b", interpreter, 60.0).said
    assert len(first) > 100
    assert first == second


def test_another_seed_is_another_boot(tmp_path):
    interpreter = interpreter_or_skip()
    first = published(tmp_path, "a", interpreter, 5.0)
    assert published(tmp_path, "b", interpreter, 5.0, seed=8).boot != first.boot


def test_both_interpreters_give_the_same_readings(tmp_path):
    one = published(tmp_path, "a", interpreter_or_skip(), 20.0).readings
    other = published(tmp_path, "b", "cpython", 20.0).readings
    assert len(one) > 50
    for here, there in zip(one, other, strict=False):
        assert flat(here) == pytest.approx(flat(there), abs=1e-9)


def flat(reading):
    """A reading without what depends on how long the interpreter takes, numbers only."""
    values = {}
    for name, value in reading.items():
        if name in ("ms", "boot", "oldest", "late"):
            continue
        for k, entry in enumerate(value if isinstance(value, list) else [value]):
            values[f"{name}{k}"] = hash(entry) if isinstance(entry, str) else entry
    return values
