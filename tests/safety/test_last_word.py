"""Whoever drives the outputs proves that the guard has spoken on this very step: without that there is no air."""

from __future__ import annotations

import asyncio
from types import SimpleNamespace
from typing import Any

import pytest

from emberboard import permit
from emberboard.app import App
from emberboard.core.controller import Controller
from tests.core.cooker import Cooker, Run


def warm() -> Run:
    """A hold that has air."""
    run = Run(Cooker(95.0, 0.05)).hold().seconds(30)
    assert run.out.drive > 0.0
    return run


def raises(*_: Any) -> Any:
    raise ValueError("a demonstration")


SABOTAGE: dict[str, Any] = {
    "does nothing": lambda guard: None,
    "an old verdict": lambda guard: guard.verdict,
    "only a promise": lambda guard: setattr(guard.verdict, "most_duty", 1.0),
}


@pytest.mark.parametrize("how", SABOTAGE)
def test_a_guard_that_does_not_speak_leaves_no_air(how: str):
    run = warm()
    guard = run.controller.guard
    guard.tick = lambda *_: SABOTAGE[how](guard)  # type: ignore[method-assign]
    for _ in range(5):
        assert run.seconds(1).out.drive == 0.0
        assert run.out.duty == 0.0


@pytest.mark.parametrize("part", ["guard", "air", "watch", "notices"])
def test_whatever_raises_in_a_step_leaves_no_air(part: str):
    run = warm()
    owner = getattr(run.controller, part)
    setattr(owner, "tick" if part == "guard" else "step", raises)
    with pytest.raises(ValueError, match="demonstration"):
        run.seconds(1)
    assert (run.controller.out.drive, run.controller.out.duty) == (0.0, 0.0)


@pytest.mark.parametrize("by_ms", [0, -1000, -3600000])
def test_time_that_stands_or_runs_backward_keeps_no_drive(by_ms: int):
    run = warm()
    for k in range(3):
        out = run.controller.tick(run.now_ms + k * by_ms, run.inputs)
        assert (out.drive, out.duty) == (0.0, 0.0), k
    run.now_ms += 2 * by_ms
    assert run.seconds(10).out.drive > 0.0  # time goes on, and so does the hold


class Bench:
    """An App on parts that only note what they get."""

    def __init__(self, **app: Any) -> None:
        self.ms, self.fed, self.drives, self.openings = 0, 0, [], []
        self.cooker = Cooker(95.0, 0.05)
        blower = SimpleNamespace(set=self.drives.append, off=lambda: self.drives.append(0.0))
        self.parts = SimpleNamespace(
            button=SimpleNamespace(on_press=None, take=lambda: False, take_held=lambda: False),
            probes=[None],
            limits={},
            blower=blower,
            ticks_ms=lambda: self.ms,
            ticks_diff=lambda a, b: a - b,
            tach=None,
            sensing=SimpleNamespace(fill=self.fill, takes_ms=180, configure=lambda: None),
            damper=SimpleNamespace(set=self.openings.append),
            signal=SimpleNamespace(sound="", light=False),
        )
        self.events: list[Any] = []
        self.readings: list[tuple[Any, ...]] = []
        self.kept: list[tuple[Any, ...]] = []
        self.passed = 0
        spool = SimpleNamespace(
            add_event=lambda *row: self.events.append(row),
            add_reading=lambda *row: self.readings.append(row),
            keep=lambda *_: None,
        )
        keep = SimpleNamespace(
            failed=app.pop("failed", 0),
            damaged=app.pop("damaged", False),
            trips=app.pop("trips", []),
            mode=app.pop("mode", ""),
            note=lambda *row: self.kept.append(row),
            passed=lambda: setattr(self, "passed", self.passed + 1),
        )
        self.app = App(self.parts, SimpleNamespace(ms=lambda: self.ms), spool, keep, **app)
        self.app.begin(self.feed, "power")

    def feed(self) -> None:
        self.fed += 1

    async def fill(self, inputs: Any) -> None:
        inputs.pit_c = self.cooker.pit_c
        self.ms += 180

    def hold(self) -> tuple[str, str]:
        args = {"mode": "hold", "target_c": 121.0, "at_cooker": True}
        return self.app.controller.order("mode", args, self.ms)  # type: ignore[no-any-return]

    def steps(self, count: int) -> Bench:
        for _ in range(count):
            due_ms = self.ms = self.ms - self.ms % 1000 + 1000
            asyncio.run(self.app.step(due_ms))
        return self


def test_a_whole_step_gives_air_and_feeds():
    bench = Bench()
    assert bench.hold() == ("", "")
    bench.steps(20)
    assert bench.drives[-1] > 0.3
    assert bench.fed == 20
    assert bench.openings[-1] == pytest.approx(1.0)
    assert len(bench.readings) == 20


@pytest.mark.parametrize("how", SABOTAGE)
def test_the_application_gives_no_air_and_feeds_nothing_without_the_guard(how: str):
    bench = Bench()
    bench.hold()
    bench.steps(20)
    guard = bench.app.controller.guard
    guard.tick = lambda *_: SABOTAGE[how](guard)  # type: ignore[method-assign]
    fed = bench.fed
    bench.steps(3)
    assert bench.drives[-3:] == [0.0] * 3
    assert bench.fed == fed


def test_a_controller_that_skips_its_guard_drives_nothing(monkeypatch: pytest.MonkeyPatch):
    bench = Bench()
    bench.hold()
    bench.steps(20)

    def shortcut(self: Controller, *_: Any) -> None:
        self.out.duty = self.out.drive = 1.0

    monkeypatch.setattr(Controller, "_act", shortcut)
    bench.steps(1)
    assert bench.app.controller.out.drive == 1.0
    assert bench.drives[-1] == 0.0


def test_a_controller_that_does_not_obey_its_guard_drives_nothing():
    bench = Bench()
    bench.hold()
    bench.steps(20)
    bench.app.controller.blower.stop = lambda: 1.0
    bench.app.controller.book.put("board_hot", "pause", 71.0, None, bench.ms)
    bench.steps(1)
    assert (bench.app.controller.out.drive, bench.drives[-1]) == (1.0, 0.0)


@pytest.mark.parametrize(
    ("what", "trip"),
    [
        ({"troubles": ("pin: 99",)}, "settings_bad"),
        ({"damage": ("core/guard",)}, "firmware_bad"),
        ({"failed": 3}, "boot_failed"),
        ({"damaged": True}, "boot_failed"),
        ({"trips": ["runaway"]}, "runaway"),
    ],
)
def test_what_is_wrong_at_the_start_keeps_the_air_off(what: dict[str, Any], trip: str):
    bench = Bench(**what)
    assert set(bench.app.controller.alerts) == {trip}
    assert bench.hold()[0] == "not_now"
    bench.steps(5)
    assert max(bench.drives) == 0.0
    assert bench.fed == 5  # it stands still, and it lives
    bench.app.controller.acknowledge("all")
    bench.steps(1)
    lasts = trip in ("settings_bad", "firmware_bad")
    assert (trip in bench.app.controller.alerts) == lasts


def test_bad_settings_of_the_run_before_are_no_trip_of_this_one():
    assert Bench(trips=["settings_bad"], failed=2).app.controller.alerts == {}


def test_wrong_settings_drive_nothing_whatever_the_controller_says():
    bench = Bench(troubles=("pin: 99",))
    bench.app.controller.book.alerts.clear()
    bench.hold()
    bench.steps(20)
    assert bench.app.controller.out.drive > 0.0
    assert max(bench.drives) == 0.0


def test_the_stamp_is_as_planned_within_twenty_milliseconds():
    bench = Bench()
    for late_ms, stamp_ms in ((0, 1180), (20, 1180), (-20, 1180), (21, 1201), (-21, 1159)):
        bench.ms = 1180 + late_ms
        assert bench.app._stamp(1000) == stamp_ms


def test_what_is_kept_and_when_a_start_has_passed():
    bench = Bench(failed=2)
    bench.steps(59)
    assert bench.passed == 0
    bench.steps(1)
    assert bench.passed == 1
    assert bench.kept[-1] == ([], 2, 0, "")
    bench.steps(238)
    assert bench.kept[-1] == ([], 2, 0, "")
    bench.steps(2)
    assert bench.kept[-1] == ([], 0, 0, "")
    assert [row[1:] for row in bench.events[:1]] == [("boot", 2, None, "power")]
    assert permit.ALL == 15


@pytest.mark.parametrize("mode", ["", "off", "hold", "drive", "bank"])
def test_what_the_board_does_after_a_start_in_each_mode(mode: str):
    bench = Bench(mode=mode)
    told = [row[4] for row in bench.events]
    assert told == ([f"was {mode}"] if mode in ("hold", "drive", "bank") else []) + ["power"]
    assert bench.app.controller.mode == ("bank" if mode == "bank" else "off")
    bench.steps(20)
    assert max(bench.drives) == 0.0
    assert {row[3] for row in bench.kept} == {mode}  # until another is ordered
    bench.hold()
    bench.steps(1)
    assert bench.kept[-1][3] == "hold"


def test_what_is_told_of_a_start_and_of_its_files():
    bench = Bench(damage=("core/guard",), notes=("a note",), troubles=("pin: 99",))
    assert [row[4] for row in bench.events] == ["power", "pin: 99", "a note", "damaged core/guard"]


def test_a_wheel_is_counted_while_the_probes_are_read_and_one_that_stands_ends_the_air():
    bench = Bench()
    done: list[str] = []
    bench.parts.tach = SimpleNamespace(begin=lambda: done.append("begin"), read=lambda: float(done.append("read") or 0))
    fill = bench.parts.sensing.fill

    async def filled(inputs: Any) -> None:
        done.append("fill")
        await fill(inputs)

    bench.parts.sensing.fill = filled
    bench.hold()
    bench.steps(2)
    assert done == ["begin", "fill", "read"] * 2
    assert bench.app.inputs.tach_rpm == 0.0
    bench.steps(20)
    assert bench.app.controller.latched() == ["blower_fault"]
    assert bench.drives[-1] == 0.0


def test_a_board_without_a_damper_gives_air_and_feeds_all_the_same():
    bench = Bench()
    bench.parts.damper = None
    bench.hold()
    bench.steps(20)
    assert bench.drives[-1] > 0.3
    assert (bench.fed, bench.openings) == (20, [])
