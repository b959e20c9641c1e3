"""The scripts that run on a board, run on the virtual one: self-test, calibration, sweep, end stops."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from emberboard import settings as table
from emberdraft.cli import main
from emberdraft.deploy import adjust
from emberdraft.deploy.remote import ON_BOARD
from emberdraft.deploy.selftest import run_selftest, verdicts_of
from emberdraft.errors import UserError
from emberdraft.virtual.interpreter import FIRMWARE
from tests.deploy.stand_in import StandIn
from tests.virtual.conftest import SmallWorld, interpreter_or_skip, start  # noqa: F401 - a fixture

POINT_C = 99.974  # water at 1013.25 hPa: CoolProp 8.0.0


class Yard(SmallWorld):
    """A blower that turns from 13 % on, or what is said."""

    supply_v = 12.2

    def __init__(self, turns_from=0.13):
        super().__init__()
        self.turns_from = turns_from

    @property
    def tach_rpm(self):
        return 5000.0 * self.drive if self.drive >= self.turns_from else 0.0


@pytest.fixture
def script(start, tmp_path):  # noqa: F811
    """`script(name, before=..., world=..., seconds=..., on_second=...)` gives (cook, what it said so far)."""

    def run(name, before="", world=None, seconds=30.0, settings=None, on_second=None):
        folder = tmp_path / "firmware"
        shutil.copytree(FIRMWARE / "emberboard", folder / "emberboard", ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(FIRMWARE / "boot.py", folder)
        (folder / "main.py").write_text(before + (ON_BOARD / name).read_text())
        flash = tmp_path / "flash"
        options = {"firmware": folder, "settings": settings or {}, "heap": "2m", "work_dir": flash}
        cook = start(world or Yard(), settle_s=0.0, **options)
        cook.run(seconds, on_second)
        return cook, (flash / "console.log").read_text

    return run


ALL = {"damper": True, "tach": True, "damper_feedback": "pot", "supply_probe": True, "food_probes": 1}


def test_the_self_test_passes_on_the_virtual_board_and_sees_a_probe_that_is_off(script):
    cook, said = script("selftest.upy", settings=ALL)
    verdicts = {verdict.what: verdict for verdict in verdicts_of(said())}
    wanted = {"settings", "pit probe", "converter", "stone probe", "food probe 1", "supply", "blower", "damper"}
    assert set(verdicts) == wanted | {"buzzer and light", "link", "memory"}
    assert [verdict for verdict in verdicts.values() if not verdict.good] == []
    cook.board.unplug("pit", "open")
    cook.board.jam_damper()
    cook.board.power_cut()
    cook.run(40.0)
    again = {verdict.what: verdict for verdict in verdicts_of(said())}
    assert (again["pit probe"].good, again["pit probe"].saw) == (False, "open")
    assert not again["damper"].good


def test_the_watchdog_is_seen_to_bite(script):
    cook, said = script("selftest.upy", before="BITE = True\n", seconds=40.0)
    assert cook.board.bites == 1
    verdict = next(verdict for verdict in verdicts_of(said()) if verdict.what == "watchdog")
    assert (verdict.good, verdict.saw) == (True, "one")


def test_a_person_presses_and_pulls_when_the_light_comes_on(script):
    def at(now_s):
        if cook_box and cook_box[0].board.pin(7):
            pressed = "lid button" in said_box[0]()
            cook_box[0].board.unplug("pit", "open") if pressed else cook_box[0].board.press_lid_button()

    cook_box, said_box = [], []
    cook, said = script("selftest.upy", before="ASK = True\n", seconds=0.0)
    cook_box.append(cook)
    said_box.append(said)
    cook.run(60.0, at)
    verdicts = {verdict.what: verdict for verdict in verdicts_of(said())}
    assert verdicts["lid button"].good
    assert (verdicts["pit probe pulled"].good, verdicts["pit probe pulled"].saw) == (True, "open")


class Restarting:
    """A board whose watchdog bites in the middle of the script, once."""

    def __init__(self):
        self.runs, self.said = 0, []

    def call(self, *words):
        self.said.append(words[-1])
        return ""

    def run(self, _script):
        self.runs += 1
        if self.runs == 1:
            from emberdraft.deploy.remote import LinkLostError

            raise LinkLostError("device disconnected")
        return '{"what": "watchdog", "expected": "a restart by itself", "saw": "one", "good": true}\n'


def test_a_board_that_goes_away_under_the_watchdog_is_waited_for():
    board = Restarting()
    assert run_selftest(board, bite=True, settle_s=0.0)[0].what == "watchdog"
    assert board.said[0] == "BITE = True"
    assert board.said[-1] == "ASK = False"


# ---- calibration ----------------------------------------------------------------------------------------------------


class Kettle(SmallWorld):
    """A pit probe in boiling water."""

    def __init__(self):
        super().__init__()
        self.pit_c = POINT_C + 0.8

    def advance(self, dt_s):
        self.now_s += dt_s


def test_a_probe_in_boiling_water_is_read_without_the_offset_it_had(script):
    settings = {"pit_offset_mk": 5000, "pit_offset_date": "2026-01-01"}
    _, said = script("measure.upy", "SENSOR = 'pit'\nSECONDS = 8\n", Kettle(), 20.0, settings)
    found = adjust.measured("pit", json.loads(said().splitlines()[-1]), 8)
    assert found.mean_c == pytest.approx(POINT_C + 0.8, abs=0.01)
    assert found.count == 8
    assert adjust.offset_mk("pit", POINT_C, found.mean_c) == pytest.approx(-800, abs=10)


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ({"seen_c": [], "fault": "open"}, "the board reads 'open'"),
        ({"seen_c": [90.0, 92.0], "fault": ""}, "moved by 2.0 K"),
    ],
)
def test_a_reading_that_is_none_is_no_calibration(said, word):
    with pytest.raises(UserError, match=word):
        adjust.measured("pit", said, 2)


def test_a_probe_further_off_than_twice_its_class_is_not_corrected():
    # IEC 60584-1:2013, class 2 at 100 degC: 2.5 degC.
    assert adjust.offset_mk("pit", 100.0, 104.9) == -4900
    with pytest.raises(UserError, match=r"twice what class 2 of IEC 60584-1 allows \(2.5 K\)"):
        adjust.offset_mk("pit", 100.0, 105.2)


@pytest.fixture
def board(tmp_path):
    interpreter_or_skip()
    flash = tmp_path / "standin"
    flash.mkdir()
    made = StandIn(flash)
    yield made
    made.pull()


def on(board, deed, *words):
    return main(["board", deed, "--port", board.bridge.port, "--settle", "0", *words])


def values_on(board):
    values, troubles = table.parse((Path(board.flash) / "settings.json").read_text())
    assert troubles == []
    return values


def test_an_offset_goes_onto_the_board_with_its_date_in_one_step(board, capsys, monkeypatch):
    monkeypatch.setattr(adjust, "measure", lambda *_: adjust.Measured(100.774, 0.1, 30))
    assert on(board, "calibrate", "pit", "--boiling", "--pressure", "1013.25") == 0
    said = capsys.readouterr().out
    assert said.startswith(
        "pit: 100.77 degC at a true 99.97 is 0.80 K too high, within class 2 of IEC 60584-1 (2.5 K)."
    )
    assert values_on(board)["pit_offset_mk"] == pytest.approx(-800, abs=1)
    assert len(values_on(board)["pit_offset_date"]) == 10
    board.pull()
    board.plug()
    assert on(board, "calibrate", "pit", "--clear") == 0
    assert values_on(board)["pit_offset_mk"] == 0


def test_what_the_page_shows_counts_without_the_offset_in_it(board, capsys):
    (board.flash / "settings.json").write_text('{"food1_offset_mk": 500, "food1_offset_date": "2026-01-01"}')
    assert on(board, "calibrate", "food1", "--ice", "--shown", "0.9C") == 0
    assert values_on(board)["food1_offset_mk"] == -400


@pytest.mark.parametrize(
    ("words", "right"),
    [
        (("pit", "--boiling"), "--altitude M or --pressure HPA"),
        (("pit", "--at", "150"), "150"),
        (("pit", "--boiling", "--pressure", "30"), "500 to 1100 would be right"),
    ],
)
def test_a_point_that_is_none_is_one_line(board, capsys, words, right):
    assert on(board, "calibrate", *words) == 1
    said = capsys.readouterr().err
    assert right in said
    assert said.count("\n") == 1


# ---- sweep and end stops --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("way", "turns_from", "stood_at"), [("four_wire", 0.13, 12), ("windows", 0.33, 32)])
def test_a_sweep_finds_the_lowest_drive_that_turns(script, way, turns_from, stood_at):
    """To look through windows takes the interpreter long: there the sweep is a short one."""
    settings = {"tach": True, "tach_way": way}
    _, said = script("sweep.upy", world=Yard(turns_from), settings=settings, seconds=4.5 * (44 - stood_at) / 2)
    rows = adjust.rows_of(said())
    assert [row["percent"] for row in rows] == list(range(40, stood_at - 1, -2))
    assert rows[-1] == {"percent": stood_at, "rpm": 0.0}
    assert adjust.lowest_percent(rows) == stood_at + 4  # two above it turned, and two to spare


def test_without_a_speed_wire_a_person_looks():
    rows = [{"percent": percent, "rpm": None} for percent in (40, 38)]
    with pytest.raises(UserError, match="--seen PERCENT"):
        adjust.lowest_percent(rows)
    assert adjust.lowest_percent(rows, seen=12) == 14


def test_a_blower_that_never_turns_is_no_curve():
    with pytest.raises(UserError, match="fuse"):
        adjust.lowest_percent([{"percent": 40, "rpm": 0.0}])


def test_the_lowest_drive_goes_onto_the_board(board, capsys, monkeypatch):
    monkeypatch.setattr(adjust, "sweep", lambda _: [{"percent": 14, "rpm": 700.0}, {"percent": 12, "rpm": 0.0}])
    assert on(board, "sweep") == 0
    assert " 14 %  700 rpm" in capsys.readouterr().out
    assert values_on(board)["blower_lowest_pct"] == 16


def test_end_stops_are_found_by_the_pot(script):
    """The virtual servo stands still below 1,000 and above 2,000 us."""
    settings = {"damper": True, "damper_feedback": "pot", "food_probes": 1}
    _, said = script("ends.upy", settings=settings, seconds=60.0)
    found = adjust.ends_of(adjust.rows_of(said()), "short")
    assert found["damper_shut_us"] == pytest.approx(1020, abs=20)
    assert found["damper_open_us"] == pytest.approx(1980, abs=20)
    assert found["damper_shut_counts"] == pytest.approx(6554, abs=20)
    assert found["damper_open_counts"] == pytest.approx(58982, abs=20)


def test_end_stops_are_where_the_button_is_pressed(script):
    """Somebody presses when the damper stands at 0.2 and at 0.9 of its way."""
    box = []

    def at(_now_s):
        place = box[0].board.opening
        if place is not None and (place <= 0.2 or place >= 0.9):
            box[0].board.press_lid_button()

    cook, said = script("ends.upy", settings={"damper": True}, seconds=0.0)
    box.append(cook)
    cook.run(40.0, at)
    found = adjust.ends_of(adjust.rows_of(said()), "long")
    assert found["damper_open_us"] == pytest.approx(1220, abs=80)  # short pulses open this one
    assert found["damper_shut_us"] == pytest.approx(1880, abs=80)
    assert "damper_shut_counts" not in found


def test_an_end_that_nobody_marked_is_no_end():
    with pytest.raises(UserError, match="no stop found towards long pulses"):
        adjust.ends_of([{"pulses": "long", "us": None, "counts": None}], "short")
