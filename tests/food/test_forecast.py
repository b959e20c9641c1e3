"""The pull forecast, judged on pieces of another physics than its own (tests/food/unseen.py)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from emberdraft.food.forecast import PullForecast
from emberdraft.plant.slab import Slab
from tests.food.kinds import KINDS, pieces_of
from tests.food.unseen import Piece, draw, pieces
from tests.proof.fixture import Proof

MOMENTS = (0.30, 0.50, 0.70, 0.85)


def _readings(piece: Piece, until: float) -> Iterator[tuple[float, float, float]]:
    """Seconds, core and pit in degC, until this share of the time to the pull."""
    for i in range(0, piece.t_s.size, 5):
        if piece.t_s[i] > until * piece.pull_at_s:
            return
        yield float(piece.t_s[i]), float(piece.core_c[i]), float(piece.pit_c[i])


def _asked(piece: Piece, each: int) -> list[tuple[float, dict[str, Any]]]:
    """What it says at the four moments; the readings between are entered as they come."""
    forecast, rows = PullForecast(piece.pull_c), []
    for i in range(0, piece.t_s.size, each):
        t_s, core_c, pit_c = float(piece.t_s[i]), float(piece.core_c[i]), float(piece.pit_c[i])
        if t_s < MOMENTS[len(rows)] * piece.pull_at_s:
            forecast.read(t_s, core_c, pit_c)
            continue
        rows.append((t_s, dict(forecast.update(t_s, core_c, pit_c))))
        if len(rows) == len(MOMENTS):
            break
    return rows


def _straight_line_s(piece: Piece, t_s: float) -> float:
    """Where the last ten minutes, drawn on with a ruler, meet the pull temperature."""
    last = (piece.t_s <= t_s) & (piece.t_s > t_s - 600.0)
    slope = np.polyfit(piece.t_s[last], piece.core_c[last], 1)[0]
    return float((piece.pull_c - piece.core_c[last][-1]) / max(slope, 1e-6))


def _score(count: int, first_seed: int, kind: str | None = None) -> dict[float, dict[str, float]]:
    rows: dict[float, list[tuple[float, float, bool]]] = {m: [] for m in MOMENTS}
    for piece in pieces(count, first_seed) if kind is None else pieces_of(kind, count, first_seed):
        for moment, (t_s, said) in zip(MOMENTS, _asked(piece, 5 if kind is None else 1), strict=False):
            if said["eta_s"] is None:
                continue
            left_s = piece.pull_at_s - t_s
            inside = said["low_s"] <= left_s <= said["high_s"]
            line = abs(_straight_line_s(piece, t_s) - left_s) / piece.pull_at_s
            rows[moment].append((abs(said["eta_s"] - left_s) / piece.pull_at_s, line, inside))
    return {
        m: {
            "said": len(r) / count,
            "error": float(np.median([x[0] for x in r])),
            "line": float(np.median([x[1] for x in r])),
            "held": float(np.mean([x[2] for x in r])),
        }
        for m, r in rows.items()
    }


def test_a_sample_of_unseen_pieces() -> None:
    score = _score(6, 70_000)
    assert score[0.50]["error"] <= 0.08
    assert all(s["error"] <= s["line"] for s in score.values())
    assert all(s["said"] == 1.0 and s["held"] >= 0.5 for s in score.values())


@pytest.mark.prove("pull forecast")
def test_two_hundred_unseen_pieces(proof: Proof) -> None:
    score = _score(200, 90_000)
    for moment, s in score.items():
        at = f"at {moment:.0%} of the time"
        proof.promise(f"80 % interval holds, {at}", round(s["held"], 3), at_least=0.75, at_most=0.85)
        beside = f"{s['error']:.3f} of the total, a straight line {s['line']:.3f}"
        proof.promise(f"median error over a straight line's, {at}", s["error"] / s["line"], at_most=1.0, note=beside)
    proof.promise("median error of the total, at 50%", round(score[0.50]["error"], 3), at_most=0.08)


@pytest.mark.parametrize("kind", ["thin", "read seldom"])
def test_a_sample_of_other_kinds(kind: str) -> None:
    score = _score(3, 40_000, kind)
    assert score[0.70]["said"] == 1.0
    assert score[0.70]["error"] <= 0.15


@pytest.mark.prove("pull forecast")
@pytest.mark.parametrize("kind", list(KINDS))
def test_each_kind_by_the_cookers_own_slab(kind: str, proof: Proof) -> None:
    score = _score(25, 41_000, kind)
    held = [s["held"] for s in score.values()]
    holds = round(float(np.mean(held)), 3)
    proof.promise(f"{kind}: 80 % interval holds, mean of four moments", holds, at_least=0.70, at_most=0.92)
    proof.promise(f"{kind}: median error of the total half-way", round(score[0.5]["error"], 3), at_most=0.15)


def test_the_carry_over_of_the_worked_roast_is_inside_what_is_said() -> None:
    """60 mm slab, air 110 degC, pulled at 54.4 degC: up 3.8 degC in 20 degC air, h 10 (slab series, no evaporation)."""
    slab = Slab(1.0, 0.06, 5.0, meat={"k": 0.48, "rho": 1060.0, "cp": 3500.0}, wet=0.0)
    forecast = PullForecast(54.4, thickness_m=0.06)
    t_s = 0.0
    while slab.core_c < 54.4:
        forecast.read(t_s, slab.core_c, 110.0)
        for _ in range(2):
            slab.step(5.0, 15.0 * (110.0 - slab.surface_c))
        t_s += 10.0
    forecast.update(t_s, slab.core_c, 110.0)
    low, mid, high = forecast.peak_after_pull_c(rest_c=20.0)
    assert low - 0.5 <= 58.24 <= high + 0.5
    assert abs(mid - 58.24) < 1.5


def test_before_anything_is_known_the_peak_is_what_is_usual() -> None:
    low, mid, high = PullForecast(57.0).peak_after_pull_c()
    assert 57.0 < low < mid < high < 75.0


def test_it_says_nothing_before_the_core_moves_and_nothing_from_a_silent_probe() -> None:
    forecast = PullForecast(57.0)
    assert forecast.update(0.0, 5.0, 115.0)["eta_s"] is None
    for t in range(10, 2400, 10):
        forecast.update(float(t), 5.0 + t * 0.01, 115.0)
    assert forecast.update(2400.0, 29.0, 115.0)["eta_s"] is not None
    assert forecast.update(2450.0, None, 115.0)["eta_s"] is not None
    assert forecast.update(2470.0, None, 115.0)["eta_s"] is None


def test_zero_once_reached_and_it_stays() -> None:
    piece = draw(1)
    assert piece is not None
    reached = PullForecast(piece.pull_c)
    for t_s, core_c, pit_c in _readings(piece, until=1.2):
        if t_s < 0.95 * piece.pull_at_s:
            reached.read(t_s, core_c, pit_c)
        else:
            said = reached.update(t_s, core_c, pit_c)
    assert said["eta_s"] == 0.0
    forecast = PullForecast(30.0)
    assert forecast.update(0.0, 31.0, None) == {"eta_s": 0.0, "low_s": 0.0, "high_s": 0.0, "misfit": 0.0}
    assert forecast.update(5.0, 29.0, 110.0)["eta_s"] == 0.0


def test_without_a_pit_it_cannot_say() -> None:
    forecast = PullForecast(57.0)
    said = [forecast.update(t * 10.0, 5.0 + t * 0.2, None)["eta_s"] for t in range(100)]
    assert said == [None] * 100


def test_the_interval_is_there_with_every_forecast_and_in_order() -> None:
    piece = draw(2)
    assert piece is not None
    forecast = PullForecast(piece.pull_c, thickness_m=piece.thickness_m)
    for reading in _readings(piece, until=1.0):
        said = forecast.update(*reading)
        if said["eta_s"] is not None:
            assert 0.0 <= said["low_s"] <= said["eta_s"] <= said["high_s"]
        assert 0.0 <= said["misfit"] <= 1.0


def test_a_probe_that_is_moved_is_noticed_and_the_forecast_comes_back() -> None:
    piece = draw(1)
    assert piece is not None
    forecast = PullForecast(piece.pull_c)
    worst = 0.0
    for t_s, core_c, pit_c in _readings(piece, until=0.75):
        if t_s < 0.35 * piece.pull_at_s:
            forecast.read(t_s, core_c, pit_c)
            continue
        moved = 7.0 if t_s > 0.4 * piece.pull_at_s else 0.0
        said = forecast.update(t_s, core_c + moved, pit_c)
        worst = max(worst, said["misfit"])
    assert worst > 0.8
    assert said["misfit"] < 0.3
    assert said["eta_s"] is not None


def test_an_irregular_clock_and_missing_values_never_raise() -> None:
    forecast = PullForecast(60.0, mass_kg=0.5)
    rng = np.random.default_rng(3)
    t_s = 0.0
    for _ in range(400):
        t_s += float(rng.choice([0.0, 0.5, 5.0, 40.0, 700.0]))
        core_c = rng.choice([4.0 + t_s / 300.0, math.nan])
        said = forecast.update(t_s, None if rng.uniform() < 0.2 else float(core_c), rng.choice([None, 110.0]))
        assert said["eta_s"] is None or math.isfinite(said["eta_s"])


def test_the_peak_after_the_pull_is_above_it_and_grows_with_the_pit() -> None:
    """Same piece, hotter pit: a steeper profile at the pull, more carry-over (the worked roast: 3.8 degC from 110 degC
    air, 15 degC from 200 degC air, from the slab series)."""
    peaks = []
    for pit_c in (110.0, 200.0):
        forecast = PullForecast(50.0, thickness_m=0.06)
        truth_c, t_s = 5.0, 0.0
        while truth_c < 50.0:
            t_s += 10.0
            truth_c = 5.0 + (pit_c - 5.0) * max(0.0, 1.0 - 1.25 * math.exp(-(t_s + 1200.0) / 5400.0))
            forecast.update(t_s, truth_c, pit_c)
        low, mid, high = forecast.peak_after_pull_c() or (0.0, 0.0, 0.0)
        assert 50.0 <= low <= mid <= high
        peaks.append(mid)
    assert peaks[0] < peaks[1]


def test_another_pull_temperature_begins_anew_what_was_reached() -> None:
    """A piece at 57 degC that was to be pulled at 55 is done; for 65 it has time to go, for 50 it is done again."""
    slab, forecast, t_s = Slab(1.0, 0.04, 5.0), PullForecast(55.0), 0.0
    while slab.core_c < 57.0:
        forecast.read(t_s, slab.core_c, 110.0)
        for _ in range(2):
            slab.step(5.0, 15.0 * (110.0 - slab.surface_c))
        t_s += 10.0
    for later, (pull_c, done) in enumerate(((55.0, True), (65.0, False), (50.0, True))):
        forecast.aim(pull_c)
        assert (forecast.update(t_s + later, slab.core_c, 110.0)["eta_s"] == 0.0) is done
