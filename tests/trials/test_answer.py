"""The whole answer of a trial whose truth is known: rarely wrong where there is nothing, as sure as planned otherwise.

The path is that of `emberdraft trial compare`: assignment by seed, curves, moments read off them, pairs, the verdict.
"""

from __future__ import annotations

import json
from collections import Counter
from typing import Any

import numpy as np
import pytest

from emberdraft.errors import UserError
from emberdraft.trials import panel
from emberdraft.trials.answer import answer_of, shown_trial
from emberdraft.trials.assign import assign
from emberdraft.trials.compare import pairs_needed
from emberdraft.trials.words import p_words
from tests.proof.fixture import Proof
from tests.trials.making import KnownRecord


def _deciding(record: KnownRecord) -> dict:
    return answer_of(record, 1)["measures"][0]["contrasts"][0]


def _null(count: int, blocks: int, effect_s: float, first_seed: int) -> tuple[float, float, float]:
    """Shares: declared different at no effect; intervals that cover no effect; intervals that cover `effect_s`."""
    declared = covered = covered_effect = 0
    for seed in range(first_seed, first_seed + count):
        nothing = _deciding(KnownRecord(blocks, seed))
        declared += nothing["state"] == "shown"
        covered += nothing["low"] <= 0.0 <= nothing["high"]
        real = _deciding(KnownRecord(blocks, seed, (0.0, effect_s)))
        covered_effect += real["low"] <= effect_s / 60.0 <= real["high"]
    return declared / count, covered / count, covered_effect / count


def test_a_sample_of_trials_without_an_effect() -> None:
    declared, covered, covered_effect = _null(25, 8, 90.0, 1000)
    assert declared <= 0.2 and covered >= 0.8 and covered_effect >= 0.8


@pytest.mark.prove("trials, whole path")
def test_two_thousand_trials_without_an_effect(proof: Proof) -> None:
    declared, covered, covered_effect = _null(2000, 8, 90.0, 5000)
    proof.promise("null trials declared different at 5 %", declared, at_most=0.06)
    proof.promise("intervals that cover no effect", covered, at_least=0.93, at_most=0.97)
    proof.promise("intervals that cover an effect of 90 s", covered_effect, at_least=0.93, at_most=0.97)


@pytest.mark.prove("trials, whole path")
def test_power_is_as_planned_on_the_whole_path(proof: Proof) -> None:
    """Scatter of a pair's difference 60 sqrt 2 s, an effect as large: ten pairs by the plan."""

    from scipy import stats

    spread_s = 60.0 * 2.0**0.5
    pairs = pairs_needed(spread_s, spread_s)
    records = (KnownRecord(pairs, seed, (0.0, spread_s)) for seed in range(20000, 22000))
    seen = sum(_deciding(record)["state"] == "shown" for record in records) / 2000
    critical = stats.t.ppf(0.975, pairs - 1)
    true = 1.0 - stats.nct.cdf(critical, pairs - 1, pairs**0.5) + stats.nct.cdf(-critical, pairs - 1, pairs**0.5)
    off = round(abs(seen - float(true)), 4)
    proof.promise(f"power with {pairs} pairs, off the plan's {true:.3f}", off, at_most=0.03, note=f"{seen}")


@pytest.mark.prove("trials, whole path")
def test_three_treatments_without_an_effect(proof: Proof) -> None:
    """Any of the three comparisons declared counts: Holm holds the family."""
    wrong = 0
    for seed in range(40000, 41000):
        contrasts = answer_of(KnownRecord(9, seed, (0.0, 0.0, 0.0)), 1)["measures"][0]["contrasts"]
        wrong += any(contrast["state"] == "shown" for contrast in contrasts)
    proof.promise("three treatments, any declared different", wrong / 1000, at_most=0.06)


def _guessing_panels(count: int, method: str, total: int, seed: int) -> float:
    rng, declared = np.random.default_rng(seed), 0
    for k in range(count):
        row = {"id": k, "trial_id": 1, "method": method, "quality": "", "a_id": 0, "b_id": 1, "end_s": 9.0}
        rows = []
        for place, (samples, codes) in enumerate(panel.servings(method, total, seed + k)):
            may = panel.choices(method, {"samples": samples})
            hit = panel.counts(method, samples, int(rng.choice(may)))
            rows.append({"place": place, "samples": samples, "codes": codes, "taster": "", "at_s": 1.0, "counts": hit})
        (pooled,) = panel.results([{**row, "servings": rows}], {0: "a", 1: "b"})
        declared += pooled["shown"]
    return declared / count


def test_a_sample_of_panels_that_guess() -> None:
    assert _guessing_panels(100, "triangle", 24, 3) <= 0.12


@pytest.mark.prove("trials, whole path")
@pytest.mark.parametrize("method", ["triangle", "duo-trio", "preference"])
def test_two_thousand_panels_that_guess(method: str, proof: Proof) -> None:
    declared = _guessing_panels(2000, method, 24, 77)
    proof.promise(f"panels of 24 that guess, {method}, declared", declared, at_most=0.06)


@pytest.mark.prove("trials, whole path")
def test_two_thousand_assignments(proof: Proof) -> None:
    rng, worst, again = np.random.default_rng(6), 0, 0
    for seed in range(2000):
        names = [f"t{k}" for k in range(rng.integers(2, 7))]
        sizes = rng.integers(1, 10, rng.integers(1, 7))
        pieces = [(f"{b}.{i}", f"b{b}") for b, size in enumerate(sizes) for i in range(size)]
        if len(pieces) < len(names):
            continue
        given = assign(pieces, names, seed)
        again += assign(pieces, names, seed) != given
        for block in {block for _, block in pieces}:
            counts = Counter(dict.fromkeys(names, 0))
            counts.update(given[piece] for piece, where in pieces if where == block)
            worst = max(worst, max(counts.values()) - min(counts.values()))
    proof.promise("assignments: largest imbalance in a block", worst, at_most=1)
    proof.promise("assignments that their seed does not give again", again, equals=0)


def test_a_large_effect_is_shown_with_its_size() -> None:
    answer = answer_of(KnownRecord(8, 3, (0.0, -600.0)), 1)
    (contrast,) = answer["measures"][0]["contrasts"]
    assert contrast["state"] == "shown"
    assert contrast["mean"] == pytest.approx(-10.0, abs=1.5)
    assert contrast["low"] < contrast["mean"] < contrast["high"]
    assert answer["verdict"].startswith("A difference at the 5\u00a0% level. t1 less t0: time to pull \u2212")
    assert len(contrast["pairs"]) == 8


def test_five_pairs_are_refused_a_verdict_however_large_the_effect() -> None:
    answer = answer_of(KnownRecord(5, 3, (0.0, -1200.0)), 1)
    assert answer["measures"][0]["contrasts"][0]["state"] == "too_few"
    assert "This could not show it: 5 pairs, and 6 are the fewest that ever could." in answer["verdict"]


def test_no_difference_is_not_called_alike_and_repeats_are_told() -> None:
    answer = answer_of(KnownRecord(8, 12), 1)
    (contrast,) = answer["measures"][0]["contrasts"]
    assert contrast["state"] == "not_shown"
    assert "That is not proof that they are alike" in answer["verdict"]
    assert f"About {contrast['pairs_needed']} pairs in all" in answer["verdict"]


@pytest.mark.parametrize(
    ("effect_s", "least_min", "words"),
    [
        (-600.0, 5.0, "All of the interval is worth knowing: 5\u00a0min or more."),
        (-600.0, 10.0, "Whether it is worth knowing, 10\u00a0min or more, remains open"),
        (0.0, 30.0, "All of the interval is below 30\u00a0min, what was called worth knowing."),
        (0.0, 0.5, "would find 0.5\u00a0min in 80 of 100"),
    ],
)
def test_a_difference_is_held_against_what_was_called_worth_knowing(
    effect_s: float, least_min: float, words: str
) -> None:
    record = KnownRecord(8, 12, (0.0, effect_s))
    record.trial["least_value"] = least_min
    assert words in answer_of(record, 1)["verdict"]


def test_where_the_tests_do_not_agree_the_verdict_says_so() -> None:
    """Six pairs of which one goes the other way: 2 * 2 / 2^6 = 0.0625 is the least that swaps can say."""
    for seed in range(200):
        answer = answer_of(KnownRecord(6, seed, (0.0, -120.0)), 1)
        contrast = _first(answer)
        if contrast["state"] == "shown" and contrast["p_permutation"] > 0.05:
            break
    assert contrast["p_t"] <= 0.05 < contrast["p_permutation"]
    assert f"do not reach that level: {p_words(contrast['p_permutation'])}." in answer["verdict"]
    assert any("number of pairs fixed beforehand" in limit for limit in answer["limits"])


def _first(answer: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = answer["measures"][0]["contrasts"][0]
    return found


def test_probes_that_always_sat_in_one_treatment_must_be_told_apart_by_their_tolerance() -> None:
    """An effect of 60 s, scatter of 2 s, and probes of 1 degC: 111 s of doubt that no number of pairs averages out."""
    record = KnownRecord(10, 5, (0.0, 60.0), scatter_s=2.0)
    record.trial["tolerance_c"] = 1.0
    assert _deciding(record)["state"] == "shown", "dealt to both treatments, the probes' errors average out"
    probes = {row["letter"]: row["treatment_id"] for row in record.trial["pieces"]}
    assert set(probes) == {"A", "B"}
    for cook_id in record.times_s:
        own = sorted((p for p in record.trial["pieces"] if p["cook_id"] == cook_id), key=lambda p: p["treatment_id"])
        times = [record.times_s[cook_id]["AB".index(p["letter"])] for p in own]
        record.times_s[cook_id] = times
        for letter, piece in zip("AB", own, strict=True):
            piece["letter"] = letter
    contrast = _deciding(record)
    assert contrast["own_probes"] and contrast["state"] == "too_fine"
    assert "swap them next time" in contrast["words"]


def test_three_treatments_have_three_comparisons_and_friedmans_ranks() -> None:
    from scipy import stats

    answer = answer_of(KnownRecord(9, 4, (0.0, 0.0, 900.0)), 1)
    (row,) = [row for row in answer["measures"] if row["decides"]]
    states = {(c["of"], c["less"]): c["state"] for c in row["contrasts"]}
    assert states[("t2", "t0")] == states[("t2", "t1")] == "shown"
    assert states[("t1", "t0")] == "not_shown"
    values = [row["values"]["time_to_pull"]["value"] for row in answer["values"]]
    by = {(r["block"], r["treatment"]): v for r, v in zip(answer["values"], values, strict=True)}
    table = [[by[(f"block {b}", f"t{k}")] for b in range(9)] for k in range(3)]
    assert row["omnibus"]["p_friedman"] == pytest.approx(float(stats.friedmanchisquare(*table).pvalue))


def test_a_piece_that_was_not_cooked_is_named_as_left_out() -> None:
    record = KnownRecord(8, 3)
    record.trial["pieces"][0]["cook_id"] = None
    answer = answer_of(record, 1)
    assert any(limit == "Left out, without a time to pull: 0.0." for limit in answer["limits"])
    assert len(answer["measures"][0]["contrasts"][0]["pairs"]) == 7


def test_before_chance_has_spoken_there_is_no_verdict() -> None:
    record = KnownRecord(2, 3)
    record.trial["assigned_s"] = None
    assert "The lots are not drawn" in answer_of(record, 1)["verdict"]


def test_an_open_tasting_shows_neither_codes_nor_seed_nor_answers() -> None:
    record = KnownRecord(2, 3)
    serving = {"id": 1, "place": 1, "samples": "ABB", "codes": "314 542 628", "taster": "x", "at_s": 1.0, "chosen": 1,
               "counts": 1}  # fmt: skip
    tasting = {"id": 1, "trial_id": 1, "method": "triangle", "quality": "", "a_id": 0, "b_id": 1, "cook_id": None,
               "seed": 987654, "start_s": 0.0, "end_s": None, "servings": [serving]}  # fmt: skip
    record.trial["tastings"] = [tasting]
    text = json.dumps(shown_trial(record.trial)) + json.dumps(answer_of(record, 1))
    assert "314 542" not in text and "987654" not in text and '"chosen"' not in text
    tasting["end_s"] = 9.0
    text = json.dumps(shown_trial(record.trial))
    assert "314 542 628" in text and "987654" in text


def test_a_trial_that_is_not_there_is_named() -> None:
    with pytest.raises(UserError, match="trial 7: there is none of that number; 1 to 1 are known"):
        answer_of(KnownRecord(2, 3), 7)
