"""A probe drawn out reads the air, and that is not the food being ready; a probe moved is believed once it settles."""

from __future__ import annotations

from emberdraft.food.forecast import PullForecast
from emberdraft.food.probe_sense import ProbeSense


def _warming(forecast: PullForecast, until_s: int = 2400) -> dict[str, float | None]:
    for t in range(0, until_s, 5):
        said = forecast.update(float(t), 5.0 + max(0, t - 300) * 0.012, 112.0)
    return dict(said)


def test_a_probe_drawn_into_the_hot_air_is_no_pull() -> None:
    forecast = PullForecast(57.0)
    assert _warming(forecast)["eta_s"]
    reading = 30.0
    for t in range(2400, 2700, 5):
        reading += (108.0 - reading) * 0.3
        said = forecast.update(float(t), reading, 112.0)
        assert said["eta_s"] != 0.0
    assert said["eta_s"] is None
    assert said["misfit"] > 0.9


def test_put_back_into_its_place_it_goes_on() -> None:
    forecast = PullForecast(57.0)
    _warming(forecast)
    for t in range(2400, 2460, 5):
        forecast.update(float(t), 95.0, 112.0)
    for t in range(2460, 2700, 5):
        said = forecast.update(float(t), 5.0 + (t - 300) * 0.012, 112.0)
    assert said["eta_s"] is not None and said["eta_s"] > 0.0
    assert said["misfit"] < 0.2


def test_a_probe_that_starts_warm_settles_first() -> None:
    """Held in a hand at 24 degC, then in meat of 4 degC: the fall is the probe's, not the piece's."""
    forecast = PullForecast(57.0)
    for t in range(0, 1800, 5):
        core_c = 4.0 + 20.0 * 0.9 ** (t / 5.0) + max(0, t - 400) * 0.012
        said = forecast.update(float(t), core_c, 112.0)
    assert said["misfit"] < 0.2
    assert said["eta_s"] is not None


def test_a_rise_that_food_can_make_is_believed() -> None:
    sense = ProbeSense()
    assert all(sense.take(t * 5.0, 20.0 + 0.6 * t, 150.0) for t in range(60))


def test_a_new_place_in_the_food_is_said_once() -> None:
    sense = ProbeSense()
    sense.take(0.0, 30.0, 115.0)
    believed = [sense.take(5.0 * i, 45.0, 115.0) for i in range(1, 60)]
    assert not believed[0]
    assert believed[-1]
