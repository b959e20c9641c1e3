"""Is the board there, and when was what? Clocks that are set, hosts that start again or sleep, crystals that drift.

From outside: zoneinfo for the nights when clocks are put forward and back.
"""

from __future__ import annotations

import datetime
import itertools
import json
import os
import random
import sqlite3
import time
import zoneinfo
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from emberboard.link import messages
from emberdraft.clock import Ahead, Clock
from emberdraft.daemon.boards import Board, sort_message
from emberdraft.daemon.drift import Drift
from emberdraft.daemon.line import Message
from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.sentence import clock as said_clock
from emberdraft.daemon.service import Service
from emberdraft.daemon.tally import Tallies
from emberdraft.store import Store
from tests.link.test_wire_doc import made
from tests.proof.fixture import Proof

BEGIN_S = 1_790_000_000.0
STEPS_S = [1.0, -1.0, 60.0, -60.0, 3600.0, -3600.0, 86400.0, -86400.0, 365 * 86400.0, -365 * 86400.0]
SAMPLE, WHOLE = 6, 200


class Steady(Clock):
    """A host's clock as it is from its start on: the computer's at that moment, and true seconds since."""

    def __init__(self, world: World) -> None:
        super().__init__()
        self._world, self._begun_s, self._began_wall_s = world, world.t_s, world.wall_s()

    def now_s(self) -> float:
        return self._began_wall_s + (self._world.t_s - self._begun_s) + self._put_s

    _put_s = 0.0

    def not_before(self, at_s: float) -> float:
        behind_s = max(0.0, at_s - self.now_s())
        self._put_s += behind_s
        return behind_s


class World:
    """True seconds, a computer's clock that can be set, a board with a crystal of its own, one host after another."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.t_s = 0.0
        self.set_s = 0.0
        self.alive = True
        self.boots = itertools.count()
        self.new_board()
        self.last_heard_s: float | None = None
        self.service: Service | None = None

    def wall_s(self) -> float:
        return BEGIN_S + self.set_s + self.t_s

    def new_board(self) -> None:
        self.boot, self.began_s, self.seq = f"{next(self.boots):08x}", self.t_s, 0
        self.alive = True

    def start_host(self) -> None:
        self.store = Store(self.path)
        self.clock = Steady(self)
        self.board = Board("yard", self.store, Tallies(), 1.0)
        self.service = Service(self.store, self.clock, "yard", None)
        self.last_heard_s = None

    def stop_host(self) -> None:
        if self.service is not None:
            self.service.close()
            self.store.close()
            self.service = None

    def second(self) -> None:
        """A second passes: the board, if it lives, makes a row; the host, if it runs, hears it and looks about."""
        self.t_s += 1.0
        if self.alive:
            self._row()
        if self.service is not None:
            view = self.board.changed_view(self.clock.now_s())
            if view is not None:
                self.service.on_link("yard", view)
            self.service.tick()

    def _row(self) -> None:
        stamp = {"boot": self.boot, "seq": self.seq, "ms": int((self.t_s - self.began_s) * 1000), "oldest": 0}
        self.seq += 1
        if self.service is None:
            return
        payload = json.dumps({**made()["reading"][0], **stamp}).encode()
        sort_message(self.board, "reading", Message(self.clock.now_s(), "t", payload, False))
        for intake in self.board.waiting():
            self.service.on_records("yard", intake.commit()[0])
        self.last_heard_s = self.t_s

    def will(self) -> None:
        """The broker says the board's will."""
        self.alive = False
        link = Message(self.clock.now_s(), "t", messages.link("offline", self.boot), True)
        sort_message(self.board, "link", link)

    def run(self, seconds: int) -> list[str]:
        """So many seconds; what was wrong on the page in them."""
        wrong = []
        for _ in range(seconds):
            self.second()
            wrong += self.wrong()
        return wrong

    def wrong(self) -> list[str]:
        if self.service is None:
            return []
        link = self.service.now()["link"]
        age_s = None if self.last_heard_s is None else self.t_s - self.last_heard_s
        state = "never" if age_s is None else "online" if age_s <= 10.0 else "silent"
        told = [] if link["state"] == state else [f"{link['state']} for {state} at {self.t_s}"]
        if age_s is not None and abs(link["heard_s"] - age_s) > 0.01:
            told.append(f"heard {link['heard_s']} s ago, in truth {age_s}")
        return told

    def rows(self) -> dict[str, list[float]]:
        """Moments of each start by seq, read with plain SQLite."""
        out: dict[str, list[float]] = {}
        with closing(sqlite3.connect(self.path)) as db:
            for boot, at_s in db.execute("SELECT boot, at_s FROM reading ORDER BY boot, seq"):
                out.setdefault(boot, []).append(at_s)
        return out


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    made_one = World(tmp_path / "cooks.sqlite")
    made_one.start_host()
    yield made_one
    made_one.stop_host()


@pytest.mark.parametrize("step_s", STEPS_S)
@pytest.mark.parametrize("dies", [False, True])
def test_a_clock_that_was_set_while_the_host_was_off_makes_no_dead_board_alive_and_no_live_one_dead(
    world: World, step_s: float, dies: bool
) -> None:
    world.run(20)
    world.stop_host()
    world.set_s += step_s
    world.run(5)
    world.start_host()
    assert world.run(3) == []
    world.alive = not dies
    assert world.run(30) == []


@pytest.mark.parametrize("step_s", STEPS_S)
def test_a_clock_that_is_set_while_the_host_runs_changes_nothing(world: World, step_s: float) -> None:
    world.run(5)
    world.set_s += step_s
    assert world.run(5) == []
    world.alive = False
    assert world.run(20) == []


@pytest.mark.parametrize("step_s", [0.0, -3600.0, 3600.0])
def test_the_will_ends_life_at_once_and_a_reading_begins_it_again(world: World, step_s: float) -> None:
    world.run(5)
    world.stop_host()
    world.set_s += step_s
    world.start_host()
    world.run(3)
    world.will()
    world.second()
    assert world.service is not None and world.service.now()["link"]["state"] == "offline"
    world.alive = True
    world.run(2)
    assert world.service.now()["link"]["state"] == "online"


@pytest.mark.parametrize("step_s", [-3600.0, 3600.0, -365 * 86400.0])
def test_marks_and_readings_of_a_cook_stay_together_when_the_clock_was_set(world: World, step_s: float) -> None:
    assert world.service is not None
    world.run(5)
    cook_id = world.service.start_cook(load_plan("two_chops"))
    world.run(10)
    world.stop_host()
    world.set_s += step_s
    world.start_host()
    world.run(5)
    assert "computer's clock was moved" in world.service.now()["last"]["text"]
    world.service.mark("note", text="here")
    (mark,) = world.store.marks(cook_id)
    last = world.store.last_reading("yard")
    assert last is not None and abs(mark["at_s"] - last["at_s"]) < 1.5


def test_a_board_and_a_host_that_come_back_together_with_the_clock_an_hour_back(world: World) -> None:
    """As after a power cut, with a computer that keeps no time: the new start is heard, and not taken for the past."""
    world.run(20)
    world.stop_host()
    world.set_s -= 3600.0
    world.new_board()
    world.start_host()
    assert world.run(20) == []


def test_the_cook_that_is_going_on_keeps_its_time_when_the_clock_is_behind_it(tmp_path: Path) -> None:
    clock = Clock()
    now_s = clock.now_s()
    assert clock.not_before(now_s - 5.0) == 0.0
    assert clock.not_before(now_s + 3600.0) == pytest.approx(3600.0, abs=1.0)
    assert clock.now_s() >= now_s + 3600.0


# ---- drift ----------------------------------------------------------------------------------


@pytest.mark.parametrize("ppm", [50.0, -50.0, 100.0])
def test_the_offset_follows_a_crystal_for_four_days(ppm: float) -> None:
    drift, known_s, furthest_s, before_s = Drift(), 0.0, 0.0, -1.0
    chance = random.Random(1)
    for t_s in range(0, 4 * 86400, 20):
        board_s = t_s * (1.0 + ppm * 1e-6)
        drift.heard(t_s + chance.expovariate(20.0) - board_s, float(t_s))
        known_s += drift.creep_s(known_s)
        furthest_s = max(furthest_s, abs(known_s + board_s - t_s))
        assert known_s + board_s > before_s, "the rows of one start never change their order"
        before_s = known_s + board_s
    assert furthest_s < 0.15  # 50 millionths alone make 17 s


def test_a_step_is_no_drift() -> None:
    drift = Drift()
    for t_s in range(0, 1300, 10):
        drift.heard(3600.0, float(t_s))
        assert drift.creep_s(0.0) == 0.0


def test_the_offset_that_crept_is_the_one_after_a_restart(world: World) -> None:
    world.run(5)
    before_s = world.store.boot_offset("yard", world.boot)
    intake = world.board.intake(world.boot)
    for second in range(0, 700, 10):
        intake.drift.heard(BEGIN_S - 0.5, world.clock.now_s() + second)
    intake._follow_drift()
    after_s = world.store.boot_offset("yard", world.boot)
    assert before_s is not None and after_s is not None and -0.15 < after_s - before_s < -0.05


# ---- sleep ----------------------------------------------------------------------------------


def test_a_clock_counts_the_hours_that_the_computer_slept(monkeypatch: pytest.MonkeyPatch) -> None:
    if not hasattr(time, "CLOCK_BOOTTIME"):
        pytest.skip("this system has no clock that goes on while it sleeps")
    awake_s, asleep_s = time.monotonic(), 0.0
    monkeypatch.setattr(time, "monotonic", lambda: awake_s)
    monkeypatch.setattr(time, "clock_gettime", lambda _which: awake_s + asleep_s + 77.0)
    clock = Clock()
    begun_s = clock.now_s()
    awake_s += 10.0
    asleep_s += 3600.0
    assert clock.now_s() - begun_s == pytest.approx(3610.0)
    assert clock.slept_s() == pytest.approx(3600.0)
    assert Clock(speed=60.0).slept_s() == 0.0  # a demonstration sleeps with the computer


# ---- zones ----------------------------------------------------------------------------------


@contextmanager
def in_zone(name: str) -> Iterator[None]:
    before = os.environ.get("TZ")
    os.environ["TZ"] = name
    time.tzset()
    try:
        yield
    finally:
        os.environ.pop("TZ")
        if before is not None:
            os.environ["TZ"] = before
        time.tzset()


ZONES = ["Pacific/Kiritimati", "Pacific/Pago_Pago", "America/New_York", "Europe/Berlin", "Australia/Lord_Howe", "UTC"]
# Nights of 2026 when clocks are put forward or back, noon to noon UTC: from zoneinfo's tables.
NIGHTS = [
    datetime.datetime(2026, *day, 12, tzinfo=datetime.UTC) for day in ((3, 7), (3, 28), (4, 4), (10, 24), (10, 31))
]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(ZONES), st.sampled_from(NIGHTS), st.integers(0, 86400))
def test_a_moment_is_said_as_zoneinfo_has_it_also_in_the_night_of_the_change(
    zone: str, night: datetime.datetime, second: int
) -> None:
    at_s = night.timestamp() + second
    with in_zone(zone):
        assert said_clock(at_s) == datetime.datetime.fromtimestamp(at_s, zoneinfo.ZoneInfo(zone)).strftime("%H:%M")


@pytest.mark.parametrize("zone", ZONES)
def test_no_zone_changes_an_age_or_a_moment(tmp_path: Path, zone: str) -> None:
    with in_zone(zone):
        world = World(tmp_path / "cooks.sqlite")
        world.set_s = NIGHTS[1].timestamp() + 13 * 3600 - 5 - BEGIN_S  # 01:00 UTC of 29 March: Berlin goes to 03:00
        world.start_host()
        assert world.run(15) == []
        world.stop_host()
        ((_, times),) = world.rows().items()
    assert all(b - a == pytest.approx(1.0, abs=1e-3) for a, b in itertools.pairwise(times))


# ---- a search -------------------------------------------------------------------------------


def act(world: World, chance: random.Random) -> None:
    """Something happens to the clock, the host or the board."""
    what = chance.choice(["set", "restart", "restart", "set and restart", "dies", "again", "away"])
    if "set" in what:
        world.set_s += chance.choice([-1, 1]) * 10 ** chance.uniform(0.0, 7.5)
    if "restart" in what:
        world.stop_host()
        world.run(chance.randrange(40))
        world.start_host()
    elif what == "dies":
        world.alive = False
    elif what == "again":
        world.new_board()
    elif what == "away":  # asleep: true time passes, and nobody hears the board
        world.t_s += chance.randrange(600)


def search(path: Path, chance: random.Random) -> list[str]:
    """Everything that was wrong in some minutes in which much happens."""
    world = World(path)
    world.start_host()
    wrong = []
    for _ in range(8):
        act(world, chance)
        wrong += world.run(chance.randrange(1, 25))
    world.stop_host()
    for boot, times in world.rows().items():
        wrong += [f"{boot}: {a} then {b}" for a, b in itertools.pairwise(times) if b <= a]
    return wrong


def test_whatever_is_done_to_clock_host_and_board_the_page_says_who_is_there(tmp_path: Path) -> None:
    wrong = [each for n in range(SAMPLE) for each in search(tmp_path / f"{n}.sqlite", random.Random(n))]
    assert wrong == []


@pytest.mark.prove("time and life")
def test_two_hundred_stories(tmp_path: Path, proof: Proof) -> None:
    wrong = [each for n in range(WHOLE) for each in search(tmp_path / f"{n}.sqlite", random.Random(n))]
    what = f"{WHOLE} stories of clocks set, hosts and boards started again, sleep: wrong seconds on the page"
    proof.promise(what, len(wrong), equals=0)


def test_a_reading_that_was_long_under_way_is_no_step() -> None:
    line = Ahead(1.0)
    assert not line.follow(100.0, 101.9)
    assert line.follow(100.0, 3700.0) and line.ahead_s == -3600.0
    assert line.follow(100.0, 100.5) and line.ahead_s == 0.0
