"""New gains in mid-hold move no air at once: promised in four pages, and true of the shipped law as a whole."""

from __future__ import annotations

import pytest

from tests.core.cooker import Run


def held() -> Run:
    """Two hours into a hold, 2 degC under a target that was just moved: P and D have something to do."""
    run = Run().hold()
    run.seconds(2 * 3600)
    assert run.order("target", target_c=124.0, at_cooker=True) == ("", "")
    return run.seconds(200)


@pytest.mark.parametrize("gains", [{"kp": 0.2}, {"kp": 0.0}, {"td_s": 600.0}, {"b": 0.0}, {"ti_s": 200.0}])
def test_new_gains_move_the_air_by_a_hundredth_at_most(gains: dict[str, float]) -> None:
    """Two equal runs, the order given to one: the duties after the next step of the law differ by 0.01 at most."""
    changed, same = held(), held()
    assert same.out.duty > 0.02
    assert changed.order("gains", **gains) == ("", "")
    for run in (changed, same):
        run.seconds(5)
    assert changed.out.duty == pytest.approx(same.out.duty, abs=0.01)


def test_the_integral_lets_go_of_what_it_took() -> None:
    """Gains of nothing: after four times ti what P and D gave is gone (e^-4 = 2 %)."""
    run = held()
    run.order("gains", kp=0.0, ti_s=600.0)
    run.seconds(6)
    hold = run.controller.hold
    took = run.out.i - hold.see.hold_air(124.0)
    assert abs(took) > 0.005
    run.seconds(2400)
    assert abs(run.out.i - hold.see.hold_air(124.0)) < 0.05 * abs(took)


def test_the_terms_shown_add_up_to_the_air() -> None:
    out = held().out
    assert out.p + out.i + out.d + out.ff == pytest.approx(out.duty, abs=1e-3)
