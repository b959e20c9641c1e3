"""The relay test on first-order processes with dead time, whose swing has a closed form."""

from __future__ import annotations

import math
from collections import deque

import numpy as np
import pytest

from emberdraft.errors import UserError
from emberdraft.tuning.relay import described_gain, swing, ultimate_point
from tests.tuning.relay_rig import RelayTest


class Fopdt:
    """gain, tau and dead time, exact over each step of held input."""

    def __init__(self, gain: float, tau_s: float, delay_s: float, dt_s: float) -> None:
        self.gain, self.keep = gain, math.exp(-dt_s / tau_s)
        self.line = deque([0.0] * round(delay_s / dt_s))
        self.y = 0.0

    def step(self, u: float) -> float:
        self.line.append(u)
        self.y = self.keep * self.y + (1.0 - self.keep) * self.gain * self.line.popleft()
        return self.y


def _even_swing(gain: float, tau_s: float, delay_s: float, dt_s: float) -> tuple[float, float]:
    """Amplitude and period of a simulated ideal relay of +-1."""
    plant, y, rises, heights, u = Fopdt(gain, tau_s, delay_s, dt_s), 0.0, [], [], 1.0
    for k in range(round(60.0 * (tau_s + delay_s) / dt_s)):
        before, u = u, 1.0 if y < 0.0 else -1.0
        if u > before:
            rises.append(k * dt_s)
        y = plant.step(u)
        heights.append(y)
    late = heights[len(heights) // 2 :]
    return (max(late) - min(late)) / 2.0, float(np.mean(np.diff(rises[-6:])))


@pytest.mark.parametrize(
    ("process", "amplitude", "period", "described", "bias"),
    [
        ((1.0, 10.0, 1.0), 0.095163, 3.81806, 13.3796, -0.182),
        ((2.0, 300.0, 60.0), 0.362538, 219.954, 3.51201, -0.174),
        ((1.0, 1.0, 1.0), 0.632121, 2.97976, 2.01424, -0.109),
    ],
)
def test_the_swing_and_the_known_bias_of_the_describing_function(
    process: tuple[float, float, float], amplitude: float, period: float, described: float, bias: float
) -> None:
    """Figures computed independently (closed form, confirmed by simulation elsewhere)."""
    assert swing(*process, 1.0) == pytest.approx((amplitude, period), rel=1e-4)
    assert _even_swing(*process, process[2] / 200.0) == pytest.approx((amplitude, period), rel=0.01)
    assert described_gain(amplitude, 1.0) == pytest.approx(described, rel=1e-4)
    assert described / ultimate_point(*process)[0] - 1.0 == pytest.approx(bias, abs=0.001)


@pytest.mark.parametrize(
    ("process", "gain", "period"),
    [((1.0, 10.0, 1.0), 16.3506, 3.8500), ((1.0, 2.0, 1.0), 3.80688, 3.42110), ((2.0, 300.0, 60.0), 4.25121, 223.246)],
)
def test_ultimate_points(process: tuple[float, float, float], gain: float, period: float) -> None:
    """w theta + atan(w tau) = pi, solved elsewhere."""
    assert ultimate_point(*process) == pytest.approx((gain, period), rel=1e-4)


def _play(
    test: RelayTest, plant: Fopdt, base_c: float, learnt: float, noise_c: float = 0.0, lid_s: float = 1e9
) -> None:
    draw = np.random.default_rng(5)
    pit_c = base_c
    for t in range(4 * 3600):
        duty = test.step(float(t), pit_c + float(draw.normal(0.0, 1.0)) * noise_c, t >= lid_s)
        if duty is None:
            return
        assert 0.0 <= duty <= 1.0
        pit_c = base_c + plant.step(duty - learnt)


def test_a_biased_test_in_a_hold_finds_process_and_ultimate_point() -> None:
    """100 degC per whole blower, 600 s, 60 s; holding 121 degC takes 0.25."""
    test = RelayTest(121.0, 0.25, noise_c=0.0)
    _play(test, Fopdt(100.0, 600.0, 60.0, 1.0), 121.0, 0.25)
    found, (gain, period_s) = test.result(), ultimate_point(100.0, 600.0, 60.0)
    assert test.high - 0.25 == pytest.approx(0.12)
    assert 0.25 - test.low == pytest.approx(0.1)
    assert found.gain_c / found.tau_s == pytest.approx(100.0 / 600.0, rel=0.05)
    assert found.delay_s == pytest.approx(60.0, rel=0.05)
    assert found.ultimate_gain == pytest.approx(gain, rel=0.05)
    assert found.ultimate_period_s == pytest.approx(period_s, rel=0.05)
    assert found.bias == pytest.approx(found.described_gain / gain - 1.0, abs=0.05)
    assert found.bias < -0.15


def test_noise_does_not_make_it_chatter() -> None:
    test = RelayTest(121.0, 0.25, noise_c=0.2)
    _play(test, Fopdt(100.0, 600.0, 60.0, 1.0), 121.0, 0.25, noise_c=0.2)
    found = test.result()
    assert found.delay_s == pytest.approx(60.0, rel=0.2)
    assert found.ultimate_gain == pytest.approx(ultimate_point(100.0, 600.0, 60.0)[0], rel=0.2)


@pytest.mark.parametrize(
    ("pit_c", "lid", "words"),
    [(121.0, True, "the lid was opened"), (None, False, "no value"), (135.0, False, "14.0 degC from the target")],
)
def test_it_gives_way_to_the_hold(pit_c: float | None, lid: bool, words: str) -> None:
    test = RelayTest(121.0, 0.25)
    assert test.step(0.0, 121.0) is not None
    assert test.step(1.0, pit_c, lid) is None
    assert words in test.stopped
    assert test.step(2.0, 121.0) is None
    with pytest.raises(UserError, match="not finished"):
        test.result()


def test_no_room_for_a_step_is_refused() -> None:
    with pytest.raises(UserError, match="no room"):
        RelayTest(121.0, 0.01)
