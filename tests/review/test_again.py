"""*Again*: the plan, each difference of what was done beside it, taken only by name; and a cook can begin with it."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from emberdraft.cli import main
from emberdraft.daemon.plan import Plan, example_names, example_text, load_plan, parse_plan
from emberdraft.daemon.rehearse import rehearse
from emberdraft.errors import UserError
from emberdraft.review.again import Again, again_of, stood_longest
from emberdraft.review.toml_text import toml_text
from emberdraft.store import Store
from tests.review.making import START_S

SHORT = Path(__file__).parents[1] / "demo" / "short.toml"

# The cook of conftest.py, as somebody had planned it: another target, parts that never came, a second piece.
PLANNED = """
version = 1
name = "supper"
[light]
target = "110C"
vent_top = "1/4"
expect = "5 min"
[soak]
[set_up]
[slow]
target = "110C"
expect = "15 min"
[climb]
stone = "280C"
[sear]
[[piece]]
letter = "A"
name = "thick chop"
probe = 0
thickness = "38 mm"
pull = "57C"
final = "58C"
[[piece]]
letter = "B"
name = "late chop"
probe = 1
pull = "57C"
final = "63C"
[[gains]]
phase = "climb"
td = "30 s"
"""


class Planned:
    """A store in which every cook began with this plan."""

    def __init__(self, store: Store, text: str) -> None:
        self._store, self._text = store, text

    def __getattr__(self, name: str) -> Any:
        return getattr(self._store, name)

    def plan(self, plan_id: int) -> dict[str, Any]:
        return {"text": self._text}


@pytest.fixture
def made(store: Store, cook: int) -> tuple[Again, Plan]:
    """*Again* of the cook of conftest.py, with vents moved by hand, gains changed, and a piece that never went on."""
    for at, opening in ((0, 0.25), (700, 0.5), (1450, 1.0)):
        store.add_mark(cook, START_S + at, "vent_top", opening)
    store.add_tuning("yard", START_S + 900, {"kp": 0.02, "ti_s": 400.0, "need": 0.3})
    store.add_piece(cook, "B", "late chop", 1, 57.0)
    again = again_of(Planned(store, PLANNED), cook, ["all"])
    return again, parse_plan(again.text)


def test_the_plan_is_marked_as_made_from_a_cook(made: tuple[Again, Plan]) -> None:
    again, plan = made
    assert again.text.startswith('# The plan of cook 1, "supper", again.')
    assert plan.name == again.name == "supper, again"
    assert plan.invented, "the cook was simulated"
    assert plan.note.startswith("The plan of cook 1, begun 2026-")


def test_targets_and_times_are_those_of_the_cook(made: tuple[Again, Plan]) -> None:
    _, plan = made
    # conftest.py: light 0 to 600 s, slow to 1500, climb to 1800; the board held 120 where 110 was planned.
    assert (plan.light.target_c, plan.light.expect_s) == (120.0, 600.0)
    assert plan.slow and (plan.slow.target_c, plan.slow.expect_s) == (120.0, 900.0)
    assert plan.climb and (plan.climb.stone_c, plan.climb.expect_s) == (280.0, 300.0)
    assert plan.phases == ["light", "slow", "climb", "bank"]


def test_a_vent_stands_as_it_stood_longest(made: tuple[Again, Plan]) -> None:
    _, plan = made
    assert plan.light.vent_top == 0.25
    # 100 s at a quarter, 750 at a half, then opened for the climb.
    assert plan.slow and plan.slow.vent_top == 0.5
    assert stood_longest([], "vent_top", 0.0, 10.0) is None


def test_a_piece_is_pulled_where_it_was_pulled(made: tuple[Again, Plan]) -> None:
    _, plan = made
    (piece,) = plan.pieces
    # conftest.py: 10 degC at 660 s, 0.09 a second: 59.5 at 1210. The planned 58 would then be below the pull.
    assert (piece.pull_c, piece.final_c, piece.thickness_m) == (59.5, 59.5, 0.038)


def test_gains_are_those_in_force_and_when(made: tuple[Again, Plan]) -> None:
    _, plan = made
    told = [(g.phase, g.after_s, g.kp, g.ti_s, g.td_s) for g in plan.gains]
    assert told == [("light", 0.0, 0.02, None, None), ("slow", 300.0, None, 400.0, None)]


def test_every_difference_is_listed_with_what_was_planned(made: tuple[Again, Plan]) -> None:
    again, _ = made
    assert {one.text for one in again.differences} == {
        *("[soak]: planned, not done", "[set_up]: planned, not done", "[sear]: planned, not done"),
        *("[light] target: planned 110C, done 120C", "[slow] target: planned 110C, done 120C"),
        *("[light] expect: planned 5 min, done 10 min", "[climb] expect: not said, done 300 s"),
        "[slow] vent_top: not said, done 50 %",
        *("[piece A] pull: planned 57C, done 59.5C", "[piece A] final: planned 58C, done 59.5C"),
        "[piece B]: planned, not put on",
        "[gains] climb after 0 s, td 30 s: planned, not done",
        *(
            "[gains] light after 0 s, kp 2 %/C: done, not planned",
            "[gains] slow after 300 s, ti 400 s: done, not planned",
        ),
    }
    assert again.differences[0].text.startswith("[light]") and again.differences[-1].text.startswith("[gains]")
    assert all(f"#   {one.text}\n" in again.text for one in again.differences)


def test_what_nobody_takes_stays_as_planned_and_is_told(store: Store, cook: int) -> None:
    again = again_of(Planned(store, PLANNED), cook)
    plan, planned = tomllib.loads(again.text), tomllib.loads(PLANNED)
    for told in ("name", "note", "invented"):
        planned.pop(told, None), plan.pop(told)
    assert plan == planned
    assert not any(one.taken for one in again.differences)
    assert "# As planned, though it was done otherwise:\n#   [light] target: planned 110C, done 120C\n" in again.text


def test_one_difference_is_taken_by_its_name_and_another_name_is_refused(store: Store, cook: int) -> None:
    again = again_of(Planned(store, PLANNED), cook, ["piece-A.pull"])
    plan = parse_plan(again.text)
    # The final temperature goes with the pull that is above it.
    assert [(p.letter, p.pull_c, p.final_c) for p in plan.pieces] == [("A", 59.5, 59.5), ("B", 57.0, 63.0)]
    assert plan.light.target_c == 110.0
    assert {one.id for one in again.differences if one.taken} == {"piece-A.pull"}
    with pytest.raises(UserError, match=r"take 'lateness': one of .*climb\.expect"):
        again_of(Planned(store, PLANNED), cook, ["lateness"])


def test_a_cook_without_a_plan_gives_one_from_its_record_alone(store: Store, cook: int) -> None:
    again = again_of(Planned(store, ""), cook)
    plan = parse_plan(again.text)
    assert plan.slow and plan.slow.target_c == 120.0
    assert [(p.letter, p.name, p.pull_c, p.final_c) for p in plan.pieces] == [("A", "thick chop", 59.5, 63.0)]


def test_a_rehearsed_cook_gives_a_plan_and_by_the_command_line_the_same(tmp_path: Path, capsys: Any) -> None:
    db, out = tmp_path / "cooks.sqlite", tmp_path / "again.toml"
    rehearse(load_plan(SHORT), db=db)
    assert main(["again", "last", "--db", str(db), "--take", "all"]) == 0
    text = capsys.readouterr().out
    planned, plan = load_plan(SHORT), parse_plan(text)
    assert plan.phases == planned.phases
    assert plan.light.target_c == planned.light.target_c
    # a slice of 8 mm rises half a degree between two steps of the rehearsal
    assert 30.0 <= plan.pieces[0].pull_c <= 31.5
    assert main(["again", "1", "--db", str(db), "--take", "all", "-o", str(out)]) == 0
    assert out.read_text(encoding="utf-8") == text
    assert "[piece A] pull: planned 30C" in capsys.readouterr().out
    assert main(["again", "1", "--db", str(db), "-o", str(out)]) == 1
    assert "name another" in capsys.readouterr().err


def test_a_cook_in_which_nothing_was_held_is_refused(store: Store) -> None:
    cook_id = store.begin_cook("yard", "rained off", None, START_S)
    store.add_phase(cook_id, START_S, "light", 120.0)
    with pytest.raises(UserError, match="never came to slow or climb"):
        again_of(store, cook_id)
    with pytest.raises(UserError, match="no cook 99"):
        again_of(store, 99)


@pytest.mark.parametrize("name", example_names())
def test_a_plan_written_as_text_is_read_as_the_same(name: str) -> None:
    plan = tomllib.loads(example_text(name))
    assert tomllib.loads(toml_text(plan)) == plan


def test_any_words_survive_being_written() -> None:
    words = 'a "quoted" \\ name\twith\nlines, é, \x7f and \U0001f525'
    assert tomllib.loads(toml_text({"name": words, "light": {"parts": [words]}})) == {
        "name": words,
        "light": {"parts": [words]},
    }
