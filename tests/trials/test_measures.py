"""Figures of a curve against curves that are known; their doubt against the exact slab and against simulation."""

from __future__ import annotations

import math

import numpy as np
import pytest

from emberdraft.trials import measures, probe_doubt
from emberdraft.trials.measures import lag, measure, reaching

SECONDS = np.arange(4000.0)


def _slab(x_m: float, half_m: float, t_s: float, alpha: float = 1.2938e-7) -> float:
    """(T_air - T) / (T_air - T_start) in a slab at Bi = 1: the first term of the exact series, zeta .8603, C 1.1191
    (tables of one-term coefficients; good to 2 % above Fo = 0.2)."""
    return 1.1191 * math.exp(-(0.8603**2) * alpha * t_s / half_m**2) * math.cos(0.8603 * x_m / half_m)


def test_a_straight_rise_is_read_off() -> None:
    core_c = 4.0 + 0.02 * SECONDS
    at_s, rate_cps = reaching(SECONDS, core_c, 57.0)
    assert at_s == pytest.approx(53.0 / 0.02, abs=0.5)
    assert rate_cps == pytest.approx(0.02, rel=1e-6)


def test_noise_and_steps_of_the_chip_hardly_matter() -> None:
    rng = np.random.default_rng(4)
    core_c = np.round((4.0 + 0.02 * SECONDS + rng.normal(0.0, 0.1, SECONDS.size)) * 4.0) / 4.0
    at_s, rate_cps = reaching(SECONDS, core_c, 57.0)
    assert at_s == pytest.approx(2650.0, abs=10.0)
    assert rate_cps == pytest.approx(0.02, rel=0.1)


def test_a_core_pulled_a_little_early_is_carried_on_and_one_far_from_it_is_not() -> None:
    core_c = (4.0 + 0.02 * SECONDS)[:2625]
    assert reaching(SECONDS[:2625], core_c, 57.0)[0] == pytest.approx(2650.0, abs=1.0)
    assert reaching(SECONDS[:2000], core_c[:2000], 57.0) is None


def test_the_lag_is_the_time_to_two_degrees() -> None:
    core_c = np.where(SECONDS < 500.0, 4.0, 4.0 + 0.01 * (SECONDS - 500.0))
    assert lag(SECONDS, core_c) == pytest.approx(700.0, abs=2.0)
    assert lag(SECONDS, np.full(SECONDS.size, 4.0)) is None


def test_a_tip_off_the_middle_reads_high_as_the_exact_slab_says() -> None:
    """Mean and scatter of the error over tips anywhere within 4 mm, by the exact profile of a 38 mm slab."""
    half_m, air_c, start_c, t_s = 0.019, 115.0, 5.0, 1500.0
    temps = [air_c - (air_c - start_c) * _slab(x, half_m, t_s) for x in np.linspace(0.0, 0.004, 401)]
    doubt_c = probe_doubt.core_doubt_c(air_c, temps[0], 0.0, 0.004, 2.0 * half_m)
    assert doubt_c == pytest.approx(float(np.std(temps)), rel=0.03)


def test_a_tolerance_is_rectangular_as_the_gum_has_it() -> None:
    assert probe_doubt.core_doubt_c(57.0, 57.0, 1.0, 0.004, 0.038) == pytest.approx(1.0 / math.sqrt(3.0))
    assert probe_doubt.time_doubt_s(0.5, 0.01) == pytest.approx(50.0)


def test_the_doubt_of_a_time_covers_probes_drawn_at_chance() -> None:
    """Two thousand probes with an error within 1 degC and a tip within 4 mm, on the exact slab."""
    rng = np.random.default_rng(5)
    half_m, air_c, start_c, to_c = 0.019, 115.0, 5.0, 57.0
    times = []
    for _ in range(2000):
        off_c, x_m = rng.uniform(-1.0, 1.0), rng.uniform(0.0, 0.004)
        share = (air_c - (to_c - off_c)) / (air_c - start_c)
        times.append(-math.log(share / _slab(x_m, half_m, 0.0)) * half_m**2 / (0.8603**2 * 1.2938e-7))
    rate_cps = (air_c - to_c) * 0.8603**2 * 1.2938e-7 / half_m**2
    doubt_c = probe_doubt.core_doubt_c(air_c, to_c, 1.0, 0.004, 2.0 * half_m)
    assert probe_doubt.time_doubt_s(doubt_c, rate_cps) == pytest.approx(float(np.std(times)), rel=0.06)


def test_the_doubt_of_a_loss_covers_a_scale_of_whole_grams() -> None:
    rng = np.random.default_rng(6)
    before, after = rng.uniform(0.400, 0.401, 5000), rng.uniform(0.340, 0.341, 5000)
    seen = 1.0 - np.round(after, 3) / np.round(before, 3)
    spread = float(np.std(seen - (1.0 - after / before)))
    assert probe_doubt.loss_doubt(0.4, 0.34, 0.001) == pytest.approx(spread, rel=0.1)


class Record:
    """A cook with two pieces of known curves."""

    def pieces(self, cook_id: int) -> list[dict]:
        both = {"on_s": 1000.0, "pull_c": 57.0, "thickness_m": 0.038}
        return [
            {**both, "letter": "A", "probe": 0, "pulled_s": 1000.0 + 2700.0},
            {**both, "letter": "B", "probe": 1, "pulled_s": 1000.0 + 3000.0},
        ]

    def readings(self, cook_id: int, start_s=None, end_s=None, names=()) -> dict:
        at_s = np.arange(0.0, 5000.0)
        since = np.maximum(at_s - 1000.0, 0.0)
        empty = [None] * at_s.size
        return {
            **{"at_s": list(at_s), "pit_c": [115.0] * at_s.size, "core3_c": empty, "core4_c": empty},
            **{"core1_c": list(4.0 + 0.02 * since), "core2_c": list(4.0 + 0.018 * since)},
        }


def _trial() -> dict:
    pieces = [{"id": i, "name": n, "block": "x", "cook_id": 1, "letter": n.upper()} for i, n in enumerate("ab")]
    weighings = [
        {"trial_piece_id": 0, "step": step, "mass_kg": kg}
        for step, kg in (("raw", 0.410), ("on", 0.400), ("pulled", 0.350), ("pulled", 0.340))
    ]
    return {
        **{"pieces": [*pieces, {"id": 9, "name": "c", "block": "x", "cook_id": None, "letter": None}]},
        **{"weighings": weighings, "tolerance_c": 1.0, "off_centre_m": 0.004, "scale_kg": 0.001},
    }


def test_a_trial_is_measured_from_its_cooks_and_weighings() -> None:
    found, probes, to_c = measure(Record(), _trial())
    assert to_c == 57.0
    assert probes == {0: 0, 1: 1}
    assert found[0]["time_to_pull"].value == pytest.approx(2650.0, abs=1.0)
    assert found[1]["time_to_pull"].value == pytest.approx(53.0 / 0.018, abs=1.0)
    assert found[0]["time_to_pull"].doubt == pytest.approx(0.64 / 0.02, rel=0.2)
    assert found[0]["cooking_loss"].value == pytest.approx(0.15)
    assert found[0]["fridge_loss"].value == pytest.approx(10.0 / 410.0)
    assert "cooking_loss" not in found[1] and found[9] == {}


def test_every_measure_has_words_and_a_unit() -> None:
    for named in measures.MEASURES.values():
        assert named.words and named.unit and named.how and named.factor > 0.0
    assert measures.MEASURES["cooking_loss"].unit_apart == "percentage points"
