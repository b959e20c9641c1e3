"""The twin: the cook replayed is the cook, changes do on it what they do on the cooker, and it says where to doubt."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace

import numpy as np
import pytest

from emberdraft.errors import UserError
from emberdraft.tuning.identify import Fit, identify, read_off
from emberdraft.tuning.measured import answer
from emberdraft.tuning.record import Cook, cook_of
from emberdraft.tuning.shadow import Shadow, alike
from emberdraft.tuning.twin import WhatIf, ahead, recorded, replay
from tests.tuning.conftest import HEAVY
from tests.tuning.cooks import Run, run, story
from tests.tuning.unseen import UNSEEN, judge

COVERS = ["host/emberdraft/tuning", "firmware/emberboard/core"]


def test_the_boards_controller_led_through_the_record_does_what_the_board_did(heavy_cook: Cook) -> None:
    share, duty = alike(heavy_cook, heavy_cook.length)
    assert share > 0.999
    assert np.max(np.abs(duty - heavy_cook["duty"])) < 1e-6


def test_replayed_with_nothing_changed_the_cook_is_the_cook(heavy_cook: Cook, heavy_fit: Fit) -> None:
    was, again = recorded(heavy_cook, heavy_fit), replay(heavy_cook, heavy_fit, WhatIf())
    assert np.max(np.abs(again.pit_c - was.pit_c)) < 1e-6
    assert again.iae_cs() == pytest.approx(was.iae_cs())


def test_other_gains_do_on_the_twin_what_they_do_on_the_cooker(
    heavy_run: Run, heavy_cook: Cook, heavy_fit: Fit
) -> None:
    """The oracle is the simulated cooker itself, run again with the same weather and other gains."""
    gains = {"kp": 0.012, "ti_s": 1500.0}
    truth = run(HEAVY, story(115.0), **gains)
    course = replay(heavy_cook, heavy_fit, WhatIf(gains=gains))
    late = slice(60 * 60, 115 * 60)
    moved = float(np.sqrt(np.mean((truth.true_c[late] - heavy_run.true_c[late]) ** 2)))
    missed = float(np.sqrt(np.mean((course.pit_c - np.array(truth.columns["pit_c"]))[late] ** 2)))
    assert moved > 1.0
    assert missed < min(2.0, 0.75 * moved)  # 2 degC RMS is what the twin is asked for


def test_another_target_is_reached_in_the_replay(heavy_cook: Cook, heavy_fit: Fit) -> None:
    course = replay(heavy_cook, heavy_fit, WhatIf(targets={110.0: 115.0}))
    assert course.target_c[-1] == 115.0
    assert np.mean(course.pit_c[-120:]) == pytest.approx(115.0, abs=2.5)


def test_a_top_vent_further_open_takes_less_blower(heavy_cook: Cook, heavy_fit: Fit) -> None:
    wide = replay(heavy_cook, heavy_fit, WhatIf(vent_top=1.0))
    assert wide.duty[-1800:].mean() < 0.9 * recorded(heavy_cook, heavy_fit).duty[-1800:].mean()


def test_an_unseen_half_hour_is_foretold(heavy_run: Run, heavy_cook: Cook, heavy_fit: Fit) -> None:
    """The same cook went on in the simulator; the twin was not shown it. Its target changes after ten minutes."""
    order = (600, "mode", {"mode": "hold", "phase": "slow", "target_c": 125.0})
    course = ahead(heavy_cook, heavy_fit, 1800, (order,))
    miss = course.pit_c - heavy_run.true_c[115 * 60 : 145 * 60]
    assert float(np.sqrt(np.mean(miss**2))) < 2.0


def test_the_model_says_what_it_found_and_how_surely(heavy_cook: Cook, heavy_fit: Fit) -> None:
    """Noise and working point are known from the sensors and the story."""
    model = read_off(heavy_cook, heavy_fit)
    assert 108.0 <= model.from_c < model.around_c < model.to_c < 126.0
    assert 0.08 <= model.noise_c <= 0.45
    assert 0.0 < model.fopdt.delay_s < 400.0
    assert model.fopdt.gain / model.fopdt.tau_s > 3.0 * model.rise_sd_cps
    assert any("lid open" in text for text in model.doubts)


def test_the_measured_answer_of_a_plain_pid_is_the_textbooks(heavy_cook: Cook) -> None:
    """A stand-in for the controller that is a PI: kp (1 + 1/(jw Ti)), known in closed form."""

    class Plain:
        total = 0.0

        def tick_alone(self, pit_c: float) -> SimpleNamespace:
            error_c = 121.0 - pit_c
            self.total += error_c / 900.0
            return SimpleNamespace(duty=0.3 + 0.02 * (error_c + self.total))

    found = answer(Plain(), 121.0, 600)  # type: ignore[arg-type]
    expected = 0.02 * (1.0 + 1.0 / (2j * np.pi / 600.0 * 900.0))
    assert abs(found - expected) < 0.02 * abs(expected)


def test_what_does_not_move_teaches_nothing(heavy_cook: Cook, heavy_fit: Fit) -> None:
    still = dataclasses.replace(heavy_cook, columns={**heavy_cook.columns, "drive": np.full(heavy_cook.length, 0.2)})
    model = read_off(still, heavy_fit)
    assert not model.trusted
    assert "too little movement" in model.doubts[0]


def test_a_blower_at_its_end_is_said(heavy_cook: Cook, heavy_fit: Fit) -> None:
    duty = heavy_cook["duty"].copy()
    duty[: int(0.7 * duty.size)] = 1.0
    full = dataclasses.replace(heavy_cook, columns={**heavy_cook.columns, "duty": duty})
    model = read_off(full, heavy_fit)
    assert not model.trusted
    assert any("saturated" in text for text in model.doubts)


def test_food_on_is_said(heavy_cook: Cook, heavy_fit: Fit) -> None:
    model = read_off(dataclasses.replace(heavy_cook, food=np.ones(heavy_cook.length)), heavy_fit)
    assert any("food was on" in text for text in model.doubts)


def test_a_cook_too_short_or_without_a_hold_is_refused(heavy_run: Run) -> None:
    with pytest.raises(UserError, match="too short"):
        identify(heavy_run.cook(40.0))
    columns = {name: list(values[:4000]) for name, values in heavy_run.columns.items()}
    columns["mode"] = ["off"] * 4000
    with pytest.raises(UserError, match="never held"):
        identify(cook_of(columns))
    columns = {name: list(values[:5000]) for name, values in heavy_run.columns.items()}
    columns["pit_c"] = [None if i % 10 else v for i, v in enumerate(columns["pit_c"])]
    with pytest.raises(UserError, match="more than half"):
        identify(cook_of(columns))


@pytest.mark.prove
@pytest.mark.parametrize("cooker", UNSEEN, ids=lambda cooker: cooker.name)
def test_ten_cookers_not_used_in_making_it(cooker, proof) -> None:
    verdict = judge(cooker)
    proof("tuning", f"unseen hour, {cooker.name}: RMS in degC", round(verdict.hour_rms_c, 2), "2 where trusted", COVERS)
    ratio = round(verdict.iae_ratio, 3)
    proof("tuning", f"proposed gains, {cooker.name}: error over that before", ratio, "under 1 on 9 of ten", COVERS)
    assert verdict.iae_ratio <= 1.1
    assert not verdict.trusted or verdict.hour_rms_c <= 2.0


def test_presses_long_presses_and_the_pages_word_are_told_to_the_shadow(heavy_cook: Cook) -> None:
    """A `seen_ms` of the record is of the board's uptime; an order that was taken there had seen the last press."""
    shut = {"open": False, "at_cooker": True, "seen_ms": 987_654_321}
    said = [("button", {"text": ""}), ("button", {"text": "held"}), ("button", {"text": ""}), ("lid", shut)]
    shadow = Shadow(heavy_cook)
    is_open = []
    for name, args in said:
        shadow.give(name, args)
        is_open.append(shadow.tick_alone(121.0).lid_open)
    assert is_open == [True, False, True, False]
