"""Forecasts beside the service: nothing is worked out in its turn, no sample is lost, no stale answer is said."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.live import LiveView
from emberdraft.daemon.pull_watch import EVERY_S, PullWatch
from emberdraft.food.forecast import PullForecast
from emberdraft.store import Store
from tests.daemon.cook import Cook, plan_of
from tests.waiting import CAP_S, until

Sample = tuple[float, float | None, float | None]


def cooking() -> Cook:
    c = Cook(plan_of()).to("slow")
    c.tick()
    c.answer("put_on")
    return c


class Late:
    """A watch whose jobs wait for the test, and a cook with both pieces in."""

    def __init__(self) -> None:
        self.c = cooking()
        self.jobs: list[Callable[[], None]] = []
        self.watch = PullWatch(self.jobs.append)
        self.handed: list[Sample] = []  # those of A

    def look(self, times: int = 1) -> None:
        for _ in range(times):
            self.c.now_s += EVERY_S
            self.c.view.core_c = [5.0 + 0.2 * len(self.handed), 4.03 + 0.1 * len(self.handed)]
            self.handed.append((self.c.now_s, self.c.view.core_c[0], 115.0))
            self.again()

    def again(self) -> None:
        self.watch.look(self.c.conductor, self.c.now_s, 115.0)

    def work(self) -> None:
        self.jobs.pop(0)()


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[Sample]:
    """Every sample that any model reads, in order."""
    seen: list[Sample] = []
    plain = PullForecast.read

    def noted(self: PullForecast, *sample: Any) -> None:
        seen.append(sample)
        plain(self, *sample)

    monkeypatch.setattr(PullForecast, "read", noted)
    return seen


def meanwhile(monkeypatch: pytest.MonkeyPatch, deed: Callable[[], object]) -> None:
    """Do something once while an answer is worked out."""
    plain, left = PullForecast.update, [deed]

    def slow(self: PullForecast, *sample: Any) -> Any:
        answer = plain(self, *sample)
        while left:
            left.pop()()
        return answer

    monkeypatch.setattr(PullForecast, "update", slow)


# ---- beside the service


def test_the_live_view_only_hands_over(read: list[Sample]) -> None:
    c, live = cooking(), LiveView()
    jobs: list[Callable[[], None]] = []
    live.pulls._start = jobs.append
    for _ in range(5):
        c.now_s += EVERY_S
        c.view.heard_s = live.view.heard_s = c.now_s
        live.forecast(c.conductor, c.now_s)
        live.forecast_anew(c.conductor, c.now_s)
    assert read == []
    assert live.forecasts == {}
    assert len(jobs) == 1, "one at a time"
    jobs.pop()()
    assert len(read) == 2 * 10
    assert set(live.forecasts) == {"A", "B"}


def test_a_job_that_came_late_reads_all_that_waited_in_order_and_answers_to_the_last(read: list[Sample]) -> None:
    late, plain = Late(), PullForecast(57.0, *sizes(cooking().conductor))
    late.look(90)
    late.work()
    assert [sample for sample in read if sample in late.handed] == late.handed
    for sample in late.handed[:-1]:
        plain.read(*sample)
    wanted = plain.update(*late.handed[-1])
    assert wanted["eta_s"] is not None
    assert late.watch.said["A"] == {name: wanted[name] for name in ("eta_s", "low_s", "high_s")}
    assert late.watch.peaks["A"] == plain.peak_after_pull_c()
    assert late.jobs == []


def sizes(conductor: Conductor) -> tuple[float | None, float | None]:
    plan = conductor.stage.plan_pieces["A"]
    return plan.thickness_m, plan.mass_kg


def test_what_is_handed_over_while_a_job_is_at_work_is_read_by_the_next(
    monkeypatch: pytest.MonkeyPatch, read: list[Sample]
) -> None:
    late = Late()
    late.look()
    meanwhile(monkeypatch, lambda: late.look(3))
    late.work()
    while late.jobs:
        late.work()
    assert [sample for sample in read if sample in late.handed] == late.handed


def test_in_real_threads_nothing_is_lost_or_out_of_order(monkeypatch: pytest.MonkeyPatch) -> None:
    late, seen = Late(), []
    late.watch = PullWatch()
    nothing = {"eta_s": None, "low_s": None, "high_s": None, "misfit": 0.0}
    monkeypatch.setattr(PullForecast, "read", lambda self, *sample: seen.append(sample))
    monkeypatch.setattr(PullForecast, "update", lambda self, *sample: (seen.append(sample), nothing)[1])
    late.look(300)
    until(lambda: len(seen) == 600)
    assert [sample for sample in seen if sample in late.handed] == late.handed


def test_a_forecast_does_not_wait_for_the_twin() -> None:
    late, live = Late(), LiveView()
    go_on, there = threading.Event(), threading.Event()
    late.watch = live.pulls
    late.watch.told = there.set
    live.desk.do(lambda: (go_on.wait(CAP_S), None)[1], lambda: None)  # a fit of many seconds
    late.look()
    assert there.wait(CAP_S)
    assert live.desk.busy
    go_on.set()


# ---- stale answers


def test_an_answer_that_is_late_counts_down_and_its_moment_stands() -> None:
    late = Late()
    late.look(90)
    late.work()
    first = late.watch.said["A"]
    late.look(3)  # and no job is done
    assert all(late.watch.said["A"][name] == pytest.approx(first[name] - 3 * EVERY_S) for name in first)
    late.look(15)
    assert late.watch.said == {}, "five minutes old"


def test_an_answer_for_a_piece_that_has_left_is_not_said(monkeypatch: pytest.MonkeyPatch) -> None:
    late = Late()
    late.look(90)

    def pulled() -> None:
        late.c.command("pulled", letter="A")
        late.again()

    meanwhile(monkeypatch, pulled)
    late.work()
    assert set(late.watch.said) == {"B"}
    assert "A" not in late.watch.peaks


def test_a_piece_that_has_left_is_no_longer_said_with_the_next_reading() -> None:
    late = Late()
    late.look(90)
    late.work()
    late.c.command("pulled", letter="A")
    late.again()
    assert set(late.watch.said) == {"B"}


def test_an_answer_by_another_probe_is_not_said(monkeypatch: pytest.MonkeyPatch) -> None:
    late = Late()
    late.look(90)

    def swapped() -> None:
        late.c.command("swap", first="A", second="B")
        late.again()

    meanwhile(monkeypatch, swapped)
    late.work()
    assert late.watch.said == late.watch.peaks == {}
    late.look()
    late.work()
    assert set(late.watch.said) == {"A", "B"}


def test_an_answer_for_another_pull_temperature_is_not_said_and_the_next_is(monkeypatch: pytest.MonkeyPatch) -> None:
    late = Late()
    late.look(90)

    def aimed() -> None:
        late.c.command("pull_at", letter="A", pull_c=50.0)
        late.watch.hurry()
        late.again()

    meanwhile(monkeypatch, aimed)
    late.work()
    before_s = late.watch.said["B"]["eta_s"]
    assert set(late.watch.said) == set(late.watch.peaks) == {"B"}
    late.work()
    assert set(late.watch.said) == set(late.watch.peaks) == {"A", "B"}
    assert before_s is not None
    assert late.watch.peaks["A"][0] < 57.0
    assert late.jobs == []


def test_a_piece_of_the_next_cook_with_the_same_letter_and_probe_begins_with_nothing() -> None:
    late = Late()
    late.look(90)
    late.work()
    late.c = cooking()
    late.c.now_s += 90 * EVERY_S
    late.c.conductor.stage.piece("A").on_s = late.c.now_s
    late.look()
    late.work()
    assert late.watch.said["A"]["eta_s"] is None


# ---- a forecast that begins late


def test_the_past_is_read_up_to_the_first_sample_and_never_twice(read: list[Sample]) -> None:
    late, asked = Late(), []
    on_s = late.c.conductor.stage.piece("A").on_s
    late.c.now_s += 3000.0
    first_s = late.c.now_s + EVERY_S

    def past(since_s: float, names: tuple[str, ...]) -> dict[str, list[Any]]:
        asked.append(since_s)
        at_s = [since_s + 5.0 * k for k in range(1000)]  # on to after the first sample: the job came late
        return {"at_s": at_s, "pit_c": [115.0] * 1000, names[2]: [5.0 + 0.03 * k for k in range(1000)]}

    late.watch.past = past
    late.look(3)
    late.work()
    assert asked == [on_s, on_s]
    times_s = [sample[0] for sample in read[: len(read) // 2]]
    assert times_s == sorted(set(times_s))
    assert [t for t in times_s if t >= first_s] == [sample[0] for sample in late.handed]
    assert len(times_s) == pytest.approx(3000.0 / EVERY_S, abs=5.0)
    late.look()
    late.work()
    assert len(asked) == 2


def test_a_record_that_is_closed_says_nothing_and_it_is_tried_again(tmp_path: Path) -> None:
    late, store = Late(), Store(tmp_path / "cooks.sqlite")
    store.close()
    late.c.now_s += 3000.0
    asked: list[float] = []

    def past(since_s: float, names: tuple[str, ...]) -> dict[str, list[Any]]:
        asked.append(since_s)
        return store.readings(1, since_s, None, names=names)

    late.watch.past = past
    for _ in range(2):
        late.look()
        late.work()
    assert late.watch.said == {}
    assert len(asked) == 4


def test_readings_that_no_model_bears_say_nothing_and_it_begins_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ValueError("singular")

    late = Late()
    late.look(2)
    with monkeypatch.context() as patch:
        patch.setattr(PullForecast, "update", broken)
        late.work()
    assert late.watch.said == {}
    late.look()
    late.work()
    assert set(late.watch.said) == {"A", "B"}


# ---- through the service


def test_a_changed_pull_temperature_is_told_when_it_is_worked_out(rig: Any) -> None:
    rig.to_slow()
    for k in range(700):
        rig.run(1, core_c=[5.0 + 0.04 * k, 5.0 + 0.02 * k], pit_c=115.0)
    service, jobs = rig.service, []
    before_s = service.live.forecasts["A"]["eta_s"]
    service.live.pulls._start = jobs.append
    service.command("pull_at", letter="A", pull_c=50.0)
    assert "A" not in service.live.forecasts, "never the moment of another temperature"
    assert [row["key"] for row in service.now()["forecasts"]] == ["core2"]
    news = service.subscribe()
    jobs.pop()()
    assert news.get_nowait()["type"] == "state"
    assert service.live.forecasts["A"]["eta_s"] < before_s


def test_the_last_values_of_a_silent_board_are_no_readings(rig: Any, read: list[Sample]) -> None:
    rig.to_slow()
    for k in range(700):
        rig.run(1, core_c=[5.0 + 0.04 * k, 5.0 + 0.02 * k], pit_c=115.0)
    count, heard_s = len(read), rig.clock.at_s
    assert set(rig.service.live.forecasts) == {"A", "B"}
    rig.quiet(400)
    assert [sample for sample in read[count:] if sample[0] > heard_s + 10.0] == []
    assert rig.service.live.forecasts == {}
    rig.run(21, core_c=[40.0, 22.0])
    assert set(rig.service.live.forecasts) == {"A", "B"}
