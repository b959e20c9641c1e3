"""The application's two loops in stopped time: when a step is due, what a link that fails may cost, how it ends."""

from __future__ import annotations

import asyncio
from types import SimpleNamespace
from typing import Any

import pytest

from tests.safety.test_last_word import Bench


class EndError(Exception):
    """The test has seen enough."""


class Timed(Bench):
    """A bench whose clock goes on only in steps and sleeps; `sleeps` in ms, `takes_ms` how long each step takes."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, count: int, takes_ms: tuple[int, ...] = ()) -> None:
        super().__init__()
        self.sleeps: list[int] = []
        self.left, self.takes_ms = count, list(takes_ms)
        self.polls: list[int] = []
        self.beats: list[int] = []
        self.kept_pages: list[tuple[Any, ...]] = []
        monkeypatch.setattr("emberboard.app.asyncio.sleep_ms", self.sleep, raising=False)
        monkeypatch.setattr("emberboard.app.sys.print_exception", lambda _error: None, raising=False)
        self.app.spool.keep = lambda *args: self.kept_pages.append(args)
        self.parts.signal.step = self.beats.append
        self.parts.button.watch = lambda: None
        self.parts.radio = SimpleNamespace(ready=lambda _ms: True)

    async def fill(self, inputs: Any) -> None:
        """The step's only delay."""
        inputs.pit_c = self.cooker.pit_c
        self.ms += self.takes_ms.pop(0) if self.takes_ms else 180

    async def sleep(self, ms: int) -> None:
        """Time goes on; so many times."""
        self.sleeps.append(ms)
        self.ms += ms
        self.left -= 1
        if self.left <= 0:
            raise EndError

    def poll(self, now_ms: int) -> None:
        """A session that fails at its third turn."""
        self.polls.append(now_ms)
        if len(self.polls) == 3:
            raise OSError("a demonstration")

    def runs(self, what: Any) -> Timed:
        """Let a loop run to the end of the test."""
        with pytest.raises(EndError):
            asyncio.run(what)
        return self


RUNS = SimpleNamespace(done=lambda: False)


def test_a_step_a_second_and_one_that_is_late_is_not_made_up_for(monkeypatch: pytest.MonkeyPatch):
    bench = Timed(monkeypatch, 6, (180, 180, 1000, 1001, 1300, 180))
    bench.runs(bench.app.control(RUNS))
    assert bench.sleeps == [820, 820, 0, 0, 0, 820]
    assert bench.app.late == 2
    assert [row[0] for row in bench.readings] == [180, 1180, 3000, 4001, 5301, 5481]


def test_an_ended_link_ends_the_application_and_the_air(monkeypatch: pytest.MonkeyPatch):
    bench = Timed(monkeypatch, 9)

    async def ended() -> None:
        link = asyncio.get_running_loop().create_future()
        link.set_result(None)
        await bench.app.control(link)

    with pytest.raises(RuntimeError, match="has ended"):
        asyncio.run(ended())
    monkeypatch.setattr(type(bench.app), "control", lambda *_: _fails())
    with pytest.raises(EndError):
        asyncio.run(bench.app.run())
    assert bench.drives[-1] == 0.0
    assert bench.kept_pages[-1] == (1,)  # what is under way is written


async def _fails() -> None:
    raise EndError


@pytest.mark.parametrize("goodbye", ["said", "fails"])
def test_a_link_that_fails_rests_for_half_a_minute_and_is_begun_anew(monkeypatch: pytest.MonkeyPatch, goodbye: str):
    bench = Timed(monkeypatch, 305)
    said: list[str] = []

    def hang_up() -> None:
        said.append(goodbye)
        if goodbye == "fails":
            raise OSError("a demonstration")

    assert (bench.app.link_failures, bench.app.late) == (0, 0)
    bench.app.session = SimpleNamespace(poll=bench.poll, goodbye=hang_up)
    bench.runs(bench.app.talk())
    assert bench.polls == [0, 100, 200, 30200, 30300, 30400]
    assert bench.beats == [100 * k for k in range(305)]  # buzzer, light and button go on
    assert (bench.app.link_failures, said) == (1, [goodbye])


def test_without_a_link_nothing_is_polled_and_nothing_fails(monkeypatch: pytest.MonkeyPatch):
    bench = Timed(monkeypatch, 5)
    bench.runs(bench.app.talk())
    assert (bench.app.link_failures, len(bench.beats)) == (0, 5)
    bench = Timed(monkeypatch, 5)
    bench.app.session = SimpleNamespace(poll=bench.poll, goodbye=lambda: None)
    bench.parts.radio.ready = lambda _ms: False
    bench.runs(bench.app.talk())
    assert bench.polls == []


def test_a_tree_has_passed_at_a_minute_and_a_start_at_five():
    bench = Bench(failed=2)
    outputs = bench.app.controller.out
    for now_ms, passed, failed in ((59999, 0, 2), (60000, 1, 2), (299999, 2, 2), (300000, 3, 0)):
        bench.app._record(now_ms, outputs)
        assert (bench.passed, bench.kept[-1][1]) == (passed, failed)
