"""Who was late, what it cost, and that it is no fault of the fire: a rehearsed cook whose person came 77 min late."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from emberdraft.cli import main
from emberdraft.daemon.plan import example_text, parse_plan
from emberdraft.daemon.rehearse import rehearse
from emberdraft.review.again import again_of
from emberdraft.review.late import late_of, late_words
from emberdraft.review.morning import morning_of, morning_words
from emberdraft.review.why import why_of, why_words
from emberdraft.said import render
from emberdraft.store import Reader, Store
from tests.review.making import START_S

ACT = '\n[[stand_in.act]]\nprompt = "{}"\ndelay = "{}"\n'


def _cook(folder: Path, *acts: tuple[str, str], changes: tuple[tuple[str, str], ...] = ()) -> Path:
    text = example_text("two_chops") + "".join(ACT.format(*act) for act in acts)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    rehearse(parse_plan(text), db=folder / "cooks.sqlite")
    return folder / "cooks.sqlite"


@pytest.fixture(scope="module")
def late(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Seen: 77 min late, seared on 124 degC, and the fire got the blame."""
    return _cook(tmp_path_factory.mktemp("late"), ("come_to_sear", "77 min"))


def _stone_c(reader: Reader, at_s: float) -> float:
    """The stone's plain reading at a moment."""
    columns = reader.readings(1, at_s - 5.0, at_s + 1.0, names=("at_s", "stone_c"))
    return float(columns["stone_c"][0])


def test_who_came_late_is_told_so_with_what_it_cost(late: Path) -> None:
    with Reader(late) as reader:
        [row] = morning_of(reader, 1)["late"]
        first = next(mark for mark in reader.marks(1) if mark["kind"] == "on_stone")
        assert row["what"] == "sear"
        assert row["late_s"] == pytest.approx(77 * 60.0, abs=120.0)
        assert row["to_c"] == pytest.approx(_stone_c(reader, first["at_s"]), abs=2.0)
        assert _stone_c(reader, row["due_s"]) == pytest.approx(270.0, abs=4.0)  # within 3 counts as there
        said = morning_words(morning_of(reader, 1))
    assert f"By then it had fallen to {row['to_c']:.0f}\u00a0°C." in render(said["late"][0])
    assert said["otherwise"] == [
        "Agree to the climb only if you can be there when the stone is hot; come late, renew the climb first."
    ]


def test_why_the_stone_was_not_hotter_says_that_it_was_and_nobody_came(late: Path) -> None:
    with Reader(late) as reader:
        found = why_of(reader, 1)
        said = " ".join(map(render, why_words(found))).replace("\u00a0", " ") if found else ""
    assert found and found["limit"] == "late"
    assert said.startswith("It was hot after 2")
    assert "still rising" not in said and "vent" not in said


def test_again_does_not_copy_the_lateness(late: Path) -> None:
    with Reader(late) as reader:
        again = again_of(reader, 1)
        everything = again_of(reader, 1, ["all"])
    assert parse_plan(again.text).climb == parse_plan(example_text("two_chops")).climb
    plan = parse_plan(everything.text)
    assert plan.climb and plan.climb.expect_s < 30 * 60.0, "the climb took 22 min; the rest was waiting"


def test_show_tells_the_morning(late: Path, capsys: Any) -> None:
    assert main(["show", "1", "--db", str(late), "--units", "F"]) == 0
    said = capsys.readouterr().out
    assert "\nLate\n  The stone was hot at " in said and "as 518\u00a0°F was wanted" in said
    assert "\nThe next time\n" in said and "\nPlanned and done\n" in said


def test_a_cook_in_time_has_nobody_late(tmp_path: Path) -> None:
    with Reader(_cook(tmp_path)) as reader:
        assert morning_of(reader, 1)["late"] == []


def test_a_late_pull_says_how_far_over_it_was(tmp_path: Path) -> None:
    with Reader(_cook(tmp_path, ("put_on", "70 min"), changes=(('delay = "35 s"', 'delay = "12 min"'),))) as reader:
        rows = {(row["what"], row["letters"]): row for row in morning_of(reader, 1)["late"]}
    assert ("put_on", "A") in rows and rows["put_on", "A"]["at_latest"]
    pull = rows["pull", "A"]
    assert pull["late_s"] > 600.0 and pull["to_c"] > pull["from_c"] + 1.0
    assert "over." in render(late_words(pull))


# ---- causes that stand in the record (conftest.py's cook: a climb of 300 s to 280)


def _climb(store: Store, planned: str, *, vent: float = 1.0, trip: bool = False) -> tuple[Store, int]:
    """A climb of 40 min from 200 degC to 255 of 260."""
    plan_id = store.add_plan(planned, "climb")
    cook_id = store.begin_cook("yard", "climb", plan_id, START_S)
    store.add_phase(cook_id, START_S, "slow", 120.0)
    store.add_mark(cook_id, START_S, "vent_top", vent)
    store.add_phase(cook_id, START_S + 600.0, "climb", 250.0)
    store.note_boot("yard", "b1", START_S)
    store.begin_boot_at("yard", "b1", 0)
    rows = [
        {"at_s": START_S + t, "ms": 1000 * t, "seq": t, "mode": "drive", "pit_c": 220.0, "duty": 1.0, "target_c": 250.0,
         "stone_c": 150.0 + 90.0 * min(1.0, max(0.0, t - 600.0) / 2400.0)}
        for t in range(0, 3000, 5)
    ]  # fmt: skip
    store.add_records("yard", "b1", rows)
    if trip:
        store.raise_alarm("yard", cook_id, START_S + 900.0, "blower_fault", "trip", "unacknowledged",
                          value=None, limit_value=None, cause="The blower does not turn as it is told",
                          consequence="", action="")  # fmt: skip
    store.add_phase(cook_id, START_S + 3000.0, "bank", None)
    store.end_cook(cook_id, START_S + 3300.0, "plan done")
    return store, cook_id


PLAN = 'version = 1\nname = "climb"\n[light]\ntarget = "120C"\n[slow]\ntarget = "120C"\n[climb]\nstone = "250C"\n'


def test_a_trip_in_the_climb_is_the_cause_and_no_model_is_asked(store: Store) -> None:
    found = why_of(*_climb(store, PLAN, trip=True))
    assert found and found["limit"] == "stopped"
    assert "the blower does not turn as it is told." in " ".join(map(render, why_words(found)))


def test_a_vent_that_was_noted_half_shut_is_the_cause(store: Store) -> None:
    found = why_of(*_climb(store, PLAN, vent=0.25))
    assert found and found["limit"] == "vent"
    assert "The top vent stood 1/4 open" in " ".join(map(render, why_words(found)))


def test_lateness_is_read_off_the_record_alone() -> None:
    """A side of 75 s that lay for 180: 105 s late; one of 100 s is not called late."""
    sides = [
        {"at_s": 0.0, "duration_s": 180.0, "stone_c": 260.0},
        {"at_s": 200.0, "duration_s": 100.0, "stone_c": 250.0},
    ]
    piece = {"letter": "A", "on_s": None, "pulled_s": None, "waited_s": None, "pulled_c": None, "pull_c": 57.0}
    [row] = late_of({"phases": [], "marks": [], "pieces": [piece | {"sides": sides}]}, {})
    assert (row["what"], row["late_s"]) == ("side", 105.0)
