"""Trials in the record: whole or not there, assigned once, an answer given once, a photo bounded."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from emberdraft.store import Reader, Store, StoreError
from emberdraft.store.schema_trials import LARGEST_PHOTO_BYTES
from tests.store.first_release import FILE
from tests.store.making import START_S

TRIAL: dict[str, Any] = {
    **{"name": "chops", "question": "does it matter?", "main": "time_to_pull", "seed": 7, "start_s": START_S},
    **{"tolerance_c": 1.0, "off_centre_m": 0.004, "scale_kg": 0.001},
}
PIECES = [("a", "one"), ("b", "one")]


@pytest.fixture
def trial_id(store: Store) -> int:
    return store.trials.add_trial(TRIAL, ["cold", "tempered"], PIECES)


def test_a_trial_is_read_whole(store: Store, trial_id: int) -> None:
    whole = store.trials.whole(trial_id)
    assert whole is not None
    assert [t["name"] for t in whole["treatments"]] == ["cold", "tempered"]
    assert [(p["name"], p["block"], p["treatment_id"]) for p in whole["pieces"]] == [(*p, None) for p in PIECES]
    assert (whole["seed"], whole["assigned_s"], whole["invented"]) == (7, None, 0)
    assert store.trials.all()[0]["piece_count"] == 2
    assert store.trials.whole(99) is None


def test_a_trial_that_cannot_be_stored_leaves_nothing(store: Store) -> None:
    with pytest.raises(Exception, match="UNIQUE"):
        store.trials.add_trial(TRIAL, ["cold", "tempered"], [("a", "one"), ("a", "one")])
    assert store.trials.all() == []
    assert store.counts()["treatment"] == 0


def test_chance_is_asked_once(store: Store, trial_id: int) -> None:
    whole = store.trials.whole(trial_id)
    assert whole is not None
    given = {p["id"]: t["id"] for p, t in zip(whole["pieces"], whole["treatments"], strict=True)}
    store.trials.assign(trial_id, given, START_S + 1.0)
    with pytest.raises(StoreError, match="not asked twice"):
        store.trials.assign(trial_id, given, START_S + 2.0)
    after = store.trials.whole(trial_id)
    assert after is not None
    assert {p["id"]: p["treatment_id"] for p in after["pieces"]} == given
    assert after["assigned_s"] == START_S + 1.0


def test_days_of_weights_looks_and_fridge(store: Store, trial_id: int) -> None:
    trials = store.trials
    trials.add("weighing", trial_piece_id=1, at_s=START_S, step="raw", mass_kg=0.42)
    trials.add("fridge", trial_id=trial_id, at_s=START_S, air_c=3.5)
    look = trials.add("look", trial_id=trial_id, trial_piece_id=None, at_s=START_S, words="dry", photo_type="image/png",
                      photo=b"\x89PNG")  # fmt: skip
    whole = trials.whole(trial_id)
    assert whole is not None
    assert whole["weighings"][0]["mass_kg"] == 0.42
    assert whole["fridge"][0]["air_c"] == 3.5
    assert (whole["looks"][0]["photo_bytes"], "photo" in whole["looks"][0]) == (4, False)
    assert trials.photo(look) == ("image/png", b"\x89PNG")
    assert trials.photo(99) is None


def test_a_photo_has_a_bound_in_the_file_as_well(store: Store, trial_id: int) -> None:
    look: dict[str, Any] = {"trial_id": trial_id, "at_s": START_S, "words": "", "photo_type": "image/jpeg"}
    with pytest.raises(StoreError, match="at most 1500000"):
        store.trials.add("look", **look, photo=b"x" * (LARGEST_PHOTO_BYTES + 1))
    store.trials.add("look", **look, photo=b"x" * LARGEST_PHOTO_BYTES)
    with pytest.raises(TypeError, match="has no 'colour'"):
        store.trials.add("look", **look, colour="red")


def test_an_answer_is_given_once_and_not_after_the_close(store: Store, trial_id: int) -> None:
    trials = store.trials
    values = {"trial_id": trial_id, "method": "triangle", "a_id": 1, "b_id": 2, "seed": 3, "start_s": START_S}
    tasting_id = trials.add_tasting(values, [("ABB", "314 542 628"), ("BAA", "111 222 333")])
    first, second = (row["id"] for row in trials.tasting(tasting_id)["servings"])
    trials.answer(first, {"taster": "x", "at_s": START_S, "chosen": 1, "counts": 1})
    with pytest.raises(StoreError, match="not changed"):
        trials.answer(first, {"taster": "x", "at_s": START_S, "chosen": 2, "counts": 0})
    trials.change("tasting", tasting_id, end_s=START_S + 9.0)
    with pytest.raises(StoreError, match="closed"):
        trials.answer(second, {"taster": "y", "at_s": START_S, "chosen": 2, "counts": 0})
    assert trials.whole(trial_id)["tastings"][0]["servings"][0]["chosen"] == 1


def test_a_file_of_the_first_release_takes_a_trial(tmp_path: Path) -> None:
    old = Path(shutil.copy(FILE, tmp_path / "old.sqlite"))
    with Store(old) as store:
        store.trials.add_trial(TRIAL, ["cold", "tempered"], PIECES)
        assert len(store.cooks()) == 1
    with Reader(old) as reader:
        assert [trial["name"] for trial in reader.trials.all()] == ["chops"]
