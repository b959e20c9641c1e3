"""The twin beside a running cook: asked in the climb, silent before, and of a host that came late."""

from __future__ import annotations

from functools import cache

import pytest

from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.foretold import more_for, stone_slots, stone_to_come, why_words
from emberdraft.daemon.live import LiveView
from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.prompts import make_prompt
from emberdraft.daemon.pull_watch import Followed
from emberdraft.daemon.stone_watch import WHY_AFTER_S, StoneWatch
from emberdraft.daemon.twin_desk import TwinDesk
from emberdraft.daemon.wanted import target_of
from emberdraft.food.forecast import PullForecast
from emberdraft.said import render
from tests.ready.cooks import Cook, cook

START_S = 1000.0


@cache
def _cook() -> Cook:
    return cook("heavy_ceramic", 2)


def _watch(
    step: str, skip: int = 0, asks_why: bool = False, probe: bool = True, silent_s: float = 300.0
) -> tuple[StoneWatch, Conductor, float]:
    """A watch that has seen the cook up to five minutes into its climb."""
    made = _cook()
    conductor = Conductor(load_plan("two_chops"))
    run = conductor.run
    for piece in run.pieces:
        piece.state = "resting"
    run.climb_start_s, run.vent_bottom = START_S + made.climb_s, 1.0
    watch = StoneWatch(TwinDesk(start=lambda job: job()))
    names = ("pit_c", "stone_c", "drive", "opening", "lid_open")
    for i in range(skip, made.rows["t_s"].size):
        t_s = float(made.rows["t_s"][i])
        if t_s > made.climb_s + 300.0:
            break
        run.vent_top = 0.3 if t_s < made.climb_s else 1.0
        run.step = "light" if t_s < made.climb_s else step
        row = {"at_s": START_S + t_s, **{name: float(made.rows[name][i]) for name in names}}
        if t_s < made.climb_s + silent_s:
            watch.desk.take(row if probe else {**row, "stone_c": None})
        if asks_why and t_s > made.climb_s + 280.0:
            conductor.stage.ask("climb_over")
        watch.desk.note(conductor, START_S + t_s)
        watch.look(conductor, START_S + t_s)
    return watch, conductor, START_S + t_s


def test_in_the_climb_it_says_when_the_stone_is_hot() -> None:
    watch, _, now_s = _watch("climb")
    assert watch.said is not None
    assert now_s - 300.0 < watch.said["low_s"] <= watch.said["eta_s"] <= watch.said["high_s"] < now_s + 3600.0
    assert watch.said["measured"] is True


def test_before_the_climb_it_is_silent() -> None:
    assert _watch("soak")[0].said is None


def test_a_host_that_came_late_says_nothing() -> None:
    assert _watch("climb", skip=300)[0].said is None


def test_slots_prompts_and_what_is_to_come_carry_it() -> None:
    watch, conductor, now_s = _watch("climb")
    live = LiveView()
    live.stone = watch
    [slot] = stone_slots(live, now_s)
    assert slot["key"] == "stone"
    assert slot["value_c"] == 270.0
    [row] = stone_to_come(conductor, live, now_s)
    assert row["low_s"] < row["at_s"] < row["high_s"]
    prompt = make_prompt(conductor.plan, "start_climb", 1, [], now_s, None)
    assert "With all air from now the stone is there about" in more_for(prompt, live, now_s, conductor)


@pytest.mark.parametrize("silent_s", [-20.0, 60.0])
def test_of_a_board_that_fell_silent_as_the_climb_began_no_limit_is_named(silent_s: float) -> None:
    assert _watch("climb", asks_why=True, silent_s=silent_s)[0].why is None


def test_when_a_climb_has_run_its_time_the_limit_is_named() -> None:
    watch, _, _ = _watch("climb", asks_why=True)
    assert watch.why is not None
    said = render(why_words(watch.why))
    assert said.startswith("Is the top vent fully open")
    assert "In 15 min that would be" in said


def test_a_pull_says_the_peak_in_the_rest() -> None:
    conductor, live = Conductor(load_plan("two_chops")), LiveView()
    piece = Followed(0, 0.0, 57.0, PullForecast(57.0), None, peak=(57.0, 0.0, (58.0, 60.0, 63.0)))
    live.pulls._followed = {"A": piece}
    prompt = make_prompt(conductor.plan, "pull", 1, ["A"], 0.0, 57.0)
    assert render(more_for(prompt, live, 0.0, conductor)) == (
        "In the rest it rises to about 60\u00a0°C, probably 58\u00a0°C to 63\u00a0°C."
    )


def test_readings_that_no_model_bears_say_nothing_and_the_next_job_may_start(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ValueError("singular")

    monkeypatch.setattr("emberdraft.daemon.stone_watch.stone_ready", broken)
    watch, _, _ = _watch("climb")
    assert watch.said is None
    assert watch.desk.busy is False


def test_a_climb_later_than_was_said_as_it_began_is_behind_and_the_limit_is_named() -> None:
    watch, conductor, now_s = _watch("climb")
    assert watch.behind(conductor, now_s) is False
    assert watch.why is None
    conductor.run.climb_start_s = now_s - WHY_AFTER_S - 1.0
    assert watch.behind(conductor, now_s) is False, "as was said"
    watch._promised_s = now_s - 60.0
    assert watch.behind(conductor, now_s) is True
    conductor.run.climb_start_s = START_S + _cook().climb_s
    watch._why_s = -1e9
    watch.behind = lambda *_: True  # type: ignore[method-assign]
    watch.look(conductor, now_s + 1.0)
    assert watch.why is not None
    conductor.run.step = "ask_sear"
    watch.look(conductor, now_s + 2.0)
    assert watch.why is None


def test_without_a_probe_the_climb_ends_by_the_estimate_which_is_called_one() -> None:
    """The stone of the simulated cooker is known to the test alone: the host sees none, and is not far off."""
    made = _cook()
    watch, conductor, now_s = _watch("climb", probe=False)
    assert watch.said is not None
    assert watch.said["measured"] is False
    live = LiveView()
    live.stone = watch
    prompt = make_prompt(conductor.plan, "come_to_sear", 1, [], now_s, None)
    said = render(more_for(prompt, live, now_s, conductor))
    assert said.startswith("No stone probe: it is estimated at about")
    assert "measured" not in said
    target_c = target_of(conductor.plan, conductor.run, "climb")
    due_s = watch.due_s(target_c)
    assert due_s is not None
    assert watch.due_s(200.0) is None, "of another target"
    there = made.rows["t_s"][(made.rows["stone_c"] >= made.story.stone_c - 5.0) & (made.rows["t_s"] > made.climb_s)]
    assert abs(due_s - START_S - float(there[0])) < 900.0


def test_a_measured_stone_is_never_ready_by_an_estimate() -> None:
    watch, conductor, _ = _watch("climb")
    assert watch.due_s(target_of(conductor.plan, conductor.run, "climb")) is None
