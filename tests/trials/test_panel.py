"""A blind tasting: balanced orders, codes that tell nothing, nothing told before the close, exact results after."""

from __future__ import annotations

import json
from collections import Counter
from typing import Any

import pytest

from emberdraft.errors import UserError
from emberdraft.trials import panel
from emberdraft.trials.tasting import DIFFERENCE, DUO_TRIO, PREFERENCE, TRIANGLE, two_people

NAMES = {1: "cold", 2: "tempered"}


def _tasting(method: str, total: int, seed: int = 3, **more: Any) -> dict[str, Any]:
    served = panel.servings(method, total, seed)
    rows = [
        {"id": 100 + i, "place": i, "samples": samples, "codes": codes, "taster": "", "at_s": None, "chosen": None,
         "counts": None}
        for i, (samples, codes) in enumerate(served, 1)
    ]  # fmt: skip
    row = {"id": 5, "trial_id": 1, "method": method, "quality": "", "a_id": 1, "b_id": 2, "end_s": None}
    return {**row, "servings": rows, **more}


@pytest.mark.parametrize("method", panel.ORDERS)
@pytest.mark.parametrize("total", [1, 5, 12, 13, 40])
def test_orders_are_balanced_within_one_and_codes_all_different(method: str, total: int) -> None:
    served = panel.servings(method, total, seed=7)
    assert served == panel.servings(method, total, seed=7)
    counts = Counter(dict.fromkeys(panel.ORDERS[method], 0))
    counts.update(samples for samples, _ in served)
    assert max(counts.values()) - min(counts.values()) <= 1
    given = [code for _, codes in served for code in codes.split()]
    assert len(set(given)) == len(given)
    assert all(len(code) == 3 and code.isdigit() for code in given)


def test_chance_decides_who_gets_which_order() -> None:
    assert len({panel.servings("triangle", 1, seed)[0][0] for seed in range(40)}) == 6


@pytest.mark.parametrize("method", panel.ORDERS)
def test_a_taster_sees_codes_and_nothing_of_what_is_under_them(method: str) -> None:
    row = _tasting(method, 6, quality="juicier")
    seen = panel.seen_by_taster(row)
    text = json.dumps(seen)
    assert "samples" not in text and "counts" not in text and "cold" not in text and "seed" not in text
    assert len(seen["next"]["codes"]) == (3 if method == "triangle" else 2)
    assert (seen["next"]["reference"] is not None) == (method == "duo-trio")
    assert seen["next"]["place"] == 1


def test_one_taster_after_another_and_nobody_after_the_close() -> None:
    row = _tasting("triangle", 2)
    row["servings"][0]["at_s"] = 1.0
    assert panel.seen_by_taster(row)["next"]["place"] == 2
    assert panel.seen_by_taster({**row, "end_s": 9.0})["next"] is None


@pytest.mark.parametrize(
    ("method", "samples", "chosen", "counts"),
    [
        ("triangle", "ABB", 1, True), ("triangle", "ABB", 2, False), ("triangle", "BAB", 2, True),
        ("duo-trio", "AAB", 2, True), ("duo-trio", "AAB", 3, False), ("duo-trio", "BAB", 3, True),
        ("preference", "BA", 2, True), ("preference", "BA", 1, False), ("difference", "AB", 1, True),
    ],
)  # fmt: skip
def test_what_counts(method: str, samples: str, chosen: int, counts: bool) -> None:
    assert panel.counts(method, samples, chosen) is counts


def test_an_answer_is_found_by_its_code() -> None:
    row = _tasting("duo-trio", 4)
    reference, first, _ = row["servings"][2]["codes"].split()
    serving_id, kept = panel.answered(row, first, "x", 7.0)
    assert (serving_id, kept["chosen"], kept["taster"], kept["at_s"]) == (103, 2, "x", 7.0)
    assert kept["counts"] == int(row["servings"][2]["samples"][1] == row["servings"][2]["samples"][0])
    with pytest.raises(UserError, match="that is the reference"):
        panel.answered(row, reference, "x", 7.0)
    with pytest.raises(UserError, match="no plate of this tasting has it"):
        panel.answered(row, "99", "x", 7.0)


def _closed(method: str, hits: int, total: int, **more: Any) -> dict[str, Any]:
    row = _tasting(method, total, end_s=9.0, **more)
    for i, serving in enumerate(row["servings"]):
        serving.update(at_s=1.0, chosen=1, counts=int(i < hits), taster=f"t{i % 4}")
    return row


def test_repeats_over_cooks_are_pooled_by_method_and_pair() -> None:
    """8 of 12 over three tastings of four: p .01876 (exact binomial)."""
    rows = [_closed("triangle", hits, 4) for hits in (3, 2, 3)]
    (pooled, alone) = panel.results([*rows, _closed("duo-trio", 4, 4), _tasting("preference", 6)], NAMES)
    assert (pooled["counts"], pooled["total"], pooled["tastings"], pooled["tasters"]) == (8, 12, 3, 4)
    assert pooled["p_value"] == pytest.approx(0.01876, abs=5e-6)
    assert pooled["shown"] and pooled["repeats"]
    assert alone["too_few"] and "cannot show" in alone["verdict"]


def test_an_open_tasting_has_no_result() -> None:
    row = _closed("triangle", 4, 4)
    assert panel.results([{**row, "end_s": None}], NAMES) == []


def test_a_closed_tasting_without_answers_says_so() -> None:
    (empty,) = panel.results([_tasting("triangle", 4, end_s=9.0)], NAMES)
    assert empty["p_value"] is None and "Nobody has tasted" in empty["verdict"]


def test_the_sheet_names_what_is_under_each_code() -> None:
    row = _tasting("triangle", 2)
    plates = panel.sheet(row, NAMES)[0]["plates"]
    under = {"A": "cold", "B": "tempered"}
    assert [p["treatment"] for p in plates] == [under[s] for s in row["servings"][0]["samples"]]
    assert [p["code"] for p in plates] == row["servings"][0]["codes"].split()


@pytest.mark.parametrize(
    ("method", "words"),
    [(TRIANGLE, "With 2 answers each, 4 of 4"), (DUO_TRIO, "With 3 answers each, 6 of 6"),
     (PREFERENCE, "With 3 answers each, 6 of 6"), (DIFFERENCE, "With 3 answers each, 6 of 6")],
)  # fmt: skip
def test_what_two_people_can_ever_show(method: Any, words: str) -> None:
    """Exact: 1/81 of four triangles by guessing, 1/64 of six halves, 2/64 two-sided; fewer can never be significant."""
    assert words in two_people(method)
    assert "not that people in general can" in two_people(method)


@pytest.mark.parametrize(("method", "total"), [("square", 6), ("triangle", 0), ("triangle", 999)])
def test_what_cannot_be_served_is_refused(method: str, total: int) -> None:
    with pytest.raises(UserError, match="would be right"):
        panel.servings(method, total, 1)
