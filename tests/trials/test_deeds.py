"""Deeds on a real record: checked before anything is written, and refused with field, value and what would be right."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from emberdraft.errors import UserError
from emberdraft.said import render
from emberdraft.store import Store
from emberdraft.trials.answer import whole
from emberdraft.trials.deeds import DEEDS, do

NOW_S = 1_790_000_000.0
NEW: dict[str, Any] = {
    **{"name": "Brine", "question": "Does a day of salt show?", "treatments": ["plain", "salted"]},
    "pieces": ["1a:1", "1b:1", "2a:2", "2b:2"],
}
# One grey point. In front of its end stands a word that the record has no business with.
PNG = base64.b64decode("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg==")
WORDY = PNG[:-12] + b"\x00\x00\x00\x0ctEXtComment\x00home\x4f\x1f\x0a\x37" + PNG[-12:]


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "trials.sqlite") as fresh:
        yield fresh


@pytest.fixture
def trial(store: Store) -> int:
    made: int = do(store, "new", NEW, NOW_S)["trial"]
    return made


@pytest.fixture
def assigned(store: Store, trial: int) -> int:
    do(store, "assign", {"trial": trial}, NOW_S)
    return trial


@pytest.fixture
def cook(store: Store) -> int:
    cook_id = store.begin_cook("yard", "supper", None, NOW_S, invented=True)
    for letter in "AB":
        store.add_piece(cook_id, letter, "chop", pull_c=57.0)
    return cook_id


def test_the_seed_is_drawn_by_chance_and_the_assignment_follows_from_it(store: Store) -> None:
    seeds = {whole(store, do(store, "new", NEW, NOW_S)["trial"])["seed"] for _ in range(8)}
    assert len(seeds) == 8
    made = do(store, "assign", {"trial": 1}, NOW_S)
    trial = whole(store, 1)
    names = {t["id"]: t["name"] for t in trial["treatments"]}
    assert {p["name"]: names[p["treatment_id"]] for p in trial["pieces"]} == made["given"]
    for block in ("1", "2"):
        assert {made["given"][f"{block}{side}"] for side in "ab"} == {"plain", "salted"}


def test_nobody_can_choose_the_seed_or_ask_chance_again(store: Store, assigned: int) -> None:
    with pytest.raises(UserError, match="seed"):
        do(store, "new", {**NEW, "seed": 4}, NOW_S)
    with pytest.raises(UserError, match="not asked twice"):
        do(store, "assign", {"trial": assigned}, NOW_S)


def test_days_before_the_cook_are_kept(store: Store, assigned: int) -> None:
    do(store, "weigh", {"trial": 1, "piece": "1a", "step": "raw", "mass": "15 oz"}, NOW_S)
    warm = do(store, "fridge", {"trial": 1, "air": "45F"}, NOW_S)["caution"]
    assert [render(warm, unit).replace("\u00a0", " ") for unit in "cf"] == [
        "Meat waits at 4 °C or less.",
        "Meat waits at 39 °F or less.",  # 39.2, hand calculation: rounded down, the safe way
    ]
    assert do(store, "fridge", {"trial": 1, "air": "3C"}, NOW_S)["caution"] == ""
    photo = base64.b64encode(WORDY).decode()
    do(store, "look", {"trial": 1, "words": "dry", "piece": "1a", "photo": photo}, NOW_S)
    trial = whole(store, 1)
    assert trial["weighings"][0]["mass_kg"] == pytest.approx(0.42524, abs=1e-5)
    assert [round(row["air_c"], 2) for row in trial["fridge"]] == [7.22, 3.0]
    assert (trial["looks"][0]["photo_type"], trial["looks"][0]["photo_bytes"]) == ("image/png", len(PNG))


def test_pieces_become_letters_of_a_cook(store: Store, assigned: int, cook: int) -> None:
    do(store, "cook", {"trial": 1, "cook": cook, "pieces": {"1a": "A", "1b": "B"}}, NOW_S)
    linked = {p["name"]: (p["cook_id"], p["letter"]) for p in whole(store, 1)["pieces"]}
    assert linked["1b"] == (cook, "B") and linked["2a"] == (None, None)


def test_a_tasting_is_begun_answered_and_closed(store: Store, assigned: int) -> None:
    number = do(store, "taste", {"trial": 1, "method": "triangle", "answers": 2}, NOW_S)["tasting"]
    first = store.trials.tasting(number)["servings"][0]
    seen = do(store, "answer", {"tasting": number, "code": first["codes"].split()[0], "taster": "x"}, NOW_S)
    assert seen["answered"] == 1 and "samples" not in str(seen)
    closed = do(store, "close", {"tasting": number}, NOW_S + 1.0)
    assert closed["servings"][0]["chosen"] == 1 and (closed["a"], closed["b"]) == ("plain", "salted")
    with pytest.raises(UserError, match="closed already"):
        do(store, "close", {"tasting": number}, NOW_S + 2.0)


def test_again_keeps_everything_but_what_was_measured(store: Store, assigned: int) -> None:
    do(store, "weigh", {"trial": 1, "piece": "1a", "step": "raw", "mass": "400g"}, NOW_S)
    before, after = whole(store, 1), whole(store, do(store, "again", {"trial": 1}, NOW_S + 9.0)["trial"])
    assert after["again_of"] == 1 and after["seed"] != before["seed"] and after["assigned_s"] is None
    assert [p["name"] for p in after["pieces"]] == [p["name"] for p in before["pieces"]]
    assert after["weighings"] == [] and all(p["treatment_id"] is None for p in after["pieces"])


def test_after_its_end_nothing_is_added(store: Store, assigned: int) -> None:
    do(store, "end", {"trial": 1}, NOW_S)
    with pytest.raises(UserError, match="it has ended"):
        do(store, "weigh", {"trial": 1, "piece": "1a", "step": "raw", "mass": "400g"}, NOW_S)


LARGE = PNG[:-12] + (1_600_000).to_bytes(4, "big") + b"IDAT" + b"x" * 1_600_004 + PNG[-12:]
BAD = [
    ("new", {"treatments": ["one"]}, "two to six"),
    ("new", {"treatments": ["a"] * 2}, "two to six"),
    ("new", {"pieces": ["a", "a"]}, "a name of its own"),
    ("new", {"pieces": [f"p{i}" for i in range(200)]}, "at most 120"),
    ("new", {"main": "luck"}, "main 'luck'"),
    ("new", {"least": -1.0}, "least -1"),
    ("new", {"name": "  "}, "name '  '"),
    ("new", {"question": "x" * 300}, "question"),
    ("new", {"tolerance": "2"}, "no unit"),
    ("new", {"tolerance": "30C"}, "0 to 10"),
    ("new", {"off_centre": "9cm"}, "at most 50 mm"),
    ("new", {"scale": "0g"}, "above 0"),
    ("weigh", {"piece": "9z"}, "piece '9z': one of 1a, 1b"),
    ("weigh", {"step": "eaten"}, "step 'eaten'"),
    ("weigh", {"mass": "400"}, "no unit"),
    ("weigh", {"mass": "99kg"}, "1 g to 30 kg"),
    ("weigh", {"trial": 7}, "trial 7: there is none"),
    ("fridge", {"air": "90C"}, "-30 to 30"),
    ("look", {"words": ""}, "words: empty"),
    ("look", {"photo": "not base64!"}, "not base64"),
    ("look", {"photo": base64.b64encode(b"<svg onload=x>").decode()}, "of no kind we show"),
    ("look", {"photo": base64.b64encode(PNG[:-9]).decode()}, "photo: the end is missing of this png"),
    ("look", {"photo": base64.b64encode(b"RIFF0000WAVE").decode()}, "of no kind we show"),
    ("look", {"photo": base64.b64encode(LARGE).decode()}, "at most 1500000"),
    ("cook", {"cook": 9}, "cook 9: there is none"),
    ("cook", {"pieces": {"1a": "Z"}}, "letter 'Z' of 1a: cook 1 has A, B"),
    ("cook", {"pieces": {"1a": "A", "1b": "A"}}, "given to two pieces"),
    ("taste", {"method": "square"}, "method 'square'"),
    ("taste", {"answers": 0}, "1 to 120"),
    ("taste", {"treatments": ["plain", "other"]}, "two of plain, salted"),
    ("taste", {"method": "difference"}, "quality: empty"),
    ("answer", {"tasting": 4}, "tasting 4: there is none"),
    ("new", {"pieces": "a"}, "Expected `array`"),
    ("weigh", {"colour": "red"}, "colour"),
]
GOOD: dict[str, dict[str, Any]] = {
    "new": NEW,
    "weigh": {"trial": 1, "piece": "1a", "step": "raw", "mass": "400g"},
    "fridge": {"trial": 1, "air": "3C"},
    "look": {"trial": 1, "words": "dry"},
    "cook": {"trial": 1, "cook": 1, "pieces": {"1a": "A"}},
    "taste": {"trial": 1, "method": "triangle", "answers": 6},
    "answer": {"tasting": 1, "code": "314"},
}


@pytest.mark.parametrize(("deed", "change", "words"), BAD)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    store: Store, assigned: int, cook: int, deed: str, change: dict[str, Any], words: str
) -> None:
    before = store.counts()
    with pytest.raises(UserError) as refused:
        do(store, deed, {**GOOD[deed], **change}, NOW_S)
    assert words in str(refused.value) and "\n" not in str(refused.value)
    assert store.counts() == before


def test_an_unknown_deed_names_those_there_are(store: Store) -> None:
    with pytest.raises(UserError, match="one of new, assign, weigh"):
        do(store, "win", {}, NOW_S)
    assert len(DEEDS) == 11


@pytest.mark.parametrize("deed", ["cook", "taste"])
def test_before_chance_has_spoken_nothing_is_cooked_or_tasted(store: Store, trial: int, cook: int, deed: str) -> None:
    with pytest.raises(UserError, match="assign before"):
        do(store, deed, GOOD[deed], NOW_S)
