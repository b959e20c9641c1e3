"""The sample of small changes outside the safety code: drawn the same every time, judged a room at a time."""

from __future__ import annotations

import pytest

from tests.mutants import rooms
from tests.mutants.survivors import SURVIVORS
from tests.proof.closure import ROOT
from tests.proof.fixture import Proof
from tests.safety import mutate

FILES = [file for room in rooms.ROOMS.values() for file in room]


def test_a_sample_is_the_same_every_time_and_no_larger_than_was_said() -> None:
    for file in FILES:
        places = rooms.sample(file)
        assert places == rooms.sample(file)
        assert 10 < len(places) <= 60
        assert len(set(places)) == len(places) and max(places) < len(mutate.keys(file))


def test_every_test_that_is_named_is_there() -> None:
    assert all((ROOT / test).exists() for room in rooms.ROOMS.values() for tests in room.values() for test in tests)


def test_a_spoilt_module_of_the_host_is_noticed_and_a_whole_one_is_not() -> None:
    file, tests = "host/emberdraft/food/lethality.py", ["tests/food/test_lethality.py"]
    path, name = mutate.place_of(file)
    whole = mutate.Mutant(file, "", path.read_text(encoding="utf-8"))
    assert name == "emberdraft.food.lethality"
    assert not mutate.noticed(whole, tests)
    assert mutate.noticed(whole._replace(source=whole.source.replace("min(core_c", "max(core_c")), tests)


@pytest.mark.parametrize(
    ("hits", "count", "low", "high"), [(0, 10, 0.0, 0.2775), (9, 10, 0.5958, 0.9821), (50, 100, 0.4038, 0.5962)]
)
def test_the_interval_is_wilsons(hits: int, count: int, low: float, high: float) -> None:
    """statsmodels' proportion_confint(hits, count, method="wilson") says the same."""
    from statsmodels.stats.proportion import proportion_confint

    assert rooms.wilson(hits, count) == pytest.approx((low, high), abs=5e-5)
    assert rooms.wilson(hits, count) == pytest.approx(proportion_confint(hits, count, method="wilson"), abs=1e-6)


def test_every_survivor_has_its_reason_and_is_still_in_the_sample() -> None:
    every = {file: mutate.keys(file) for file in FILES}
    drawn = {every[file][place] for file in FILES for place in rooms.sample(file)}
    assert all(len(reason) > 20 for reason in SURVIVORS.values())
    assert set(SURVIVORS) <= drawn


def section(room: str) -> pytest.MarkDecorator:
    """A section a room: what is unchanged stays as it was proved."""
    files = [str(mutate.place_of(file)[0].relative_to(ROOT)) for file in rooms.ROOMS[room]]
    tests = sorted({test for tests in rooms.ROOMS[room].values() for test in tests})
    return pytest.mark.prove(f"changes: {room}", proves=[*files, *tests])


@pytest.mark.parametrize("room", [pytest.param(room, marks=section(room), id=room) for room in rooms.ROOMS])
def test_nearly_every_change_of_a_room_is_noticed(room: str, proof: Proof) -> None:
    found = rooms.judge(room)
    low, high = rooms.wilson(found.tried - len(found.lived), found.tried)
    beside = f"of {found.tried} drawn by seed {rooms.SEED}; 95 % interval {low:.3f} to {high:.3f}"
    proof.promise(
        "share of small changes that a test notices", round(found.share, 3), at_least=rooms.LEAST, note=beside
    )
    lived = "; ".join(found.unexplained) or "none"
    proof.promise("changes that nothing notices and nothing explains", len(found.unexplained), equals=0, note=lived)
