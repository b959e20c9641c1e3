"""The shelf of plans that comes with the program: each can be begun as it is, and comes to its end when rehearsed."""

from __future__ import annotations

import pytest

from emberdraft.daemon.evening_of import has_large_cut, wanted_of
from emberdraft.daemon.plan import example_names, example_text, load_plan, parse_plan
from emberdraft.daemon.plan_check import looked_ahead
from emberdraft.daemon.rehearsal import Rehearsal
from emberdraft.daemon.rehearse import rehearse
from emberdraft.daemon.wrapping import STILL_S, Wrapping
from emberdraft.errors import UserError
from emberdraft.evening.answer import answered
from emberdraft.evening.cuts import slab_m
from emberdraft.evening.habits import habits_of
from emberdraft.plant.slab import Slab
from emberdraft.said import render
from tests.proof.fixture import Proof

NAMES = example_names()
EATEN = [name for name in NAMES if load_plan(name).pieces]
SHOULDER = example_text("shoulder")
NIGHT_S = 20.0 * 3600.0


def test_there_is_a_dozen() -> None:
    assert len(NAMES) == 12
    assert len(EATEN) == 10


@pytest.mark.parametrize("name", EATEN)
def test_each_says_of_every_piece_what_it_is_and_none_is_below_what_the_usda_advises_unsaid(name: str) -> None:
    plan = load_plan(name)
    assert all(piece.animal != "other" for piece in plan.pieces)
    assert all(piece.mass_kg or piece.thickness_m for piece in plan.pieces)
    foods = [render(line) for line in looked_ahead(plan)["foods"]]
    assert any("USDA advises" in line for line in foods)
    assert not any("below it." in line and "until the sear" not in line for line in foods)


@pytest.mark.parametrize("name", EATEN)
def test_each_has_an_evening_that_reaches_an_hour_a_day_away(name: str) -> None:
    answer = answered(wanted_of(load_plan(name)), habits_of(()), 86400.0, 0.0)
    assert answer.possible
    assert answer.light_s < answer.schedule.on_s[0] < answer.serve_s


@pytest.mark.prove("Our plans, rehearsed")
def test_each_comes_to_its_end_when_rehearsed(proof: Proof) -> None:
    ended = 0
    for name in NAMES:
        summary = rehearse(load_plan(name))
        ended += 1
        hours = round(summary["simulated_s"] / 3600.0, 1)
        proof.record(f"{name}: hours to its end", hours)
    proof.promise("plans that came to their end", ended, at_least=len(NAMES))


# ---- the stand-in with a large cut


def test_a_rehearsed_shoulder_leaves_its_plateau_wrapped_and_stays_on_until_it_is_tender() -> None:
    """Before, its face never dried and the rehearsal gave up after 96 h."""
    plan = parse_plan(SHOULDER.replace('"2.5 kg"', '"1.2 kg"'))
    assert has_large_cut(plan)
    run = Rehearsal(plan, None, None, 0, 0.0)
    for second in range(1, int(NIGHT_S)):
        run._second(second)
        if run.conductor.done:
            break
    assert run.conductor.done
    assert run.person.peak_c["A"] > 93.0
    assert run.person.wrapping.pieces == []


class Face:
    """A world with one piece whose core is what the test says."""

    def __init__(self, core_c: float) -> None:
        self.core_c = core_c
        self.plant = self
        self.pieces = [Slab(2.5, 0.1, core_c)]

    def probe_c(self, k: int) -> float:
        return self.core_c


@pytest.mark.parametrize(("core_c", "after_s", "wet"), [(71.0, 0.0, 0.0), (60.0, STILL_S - 120.0, 1.0)])
def test_it_is_wrapped_at_its_mark_and_not_before(core_c: float, after_s: float, wet: float) -> None:
    world = Face(core_c)
    watch = Wrapping(parse_plan(SHOULDER), world)
    for now_s in (1.0, after_s + 61.0):
        watch.look(now_s, {"A": 0})
    assert world.pieces[0].wet == wet


def test_what_stands_still_for_an_hour_is_wrapped_and_dries_no_further() -> None:
    world = Face(60.0)
    watch = Wrapping(parse_plan(SHOULDER), world)
    for now_s in (1.0, STILL_S + 1.0):
        watch.look(now_s, {"A": 0})
    piece = world.pieces[0]
    piece.dry(1.0, 5.0, 700.0, 0.1)
    assert piece.wet == 0.0


def test_a_slab_that_stands_for_a_round_cut_is_thinner() -> None:
    """Half the time of a slab in a cylinder of the same thickness, a third in a sphere (volume over surface)."""
    mass_kg = 1050.0 * 5.0 * 0.1**3  # a bird 10 cm thick
    assert slab_m("bird", mass_kg) == pytest.approx(0.1 / 2.0**0.5)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('name = "A pork', 'serve = "25:00"\nname = "A pork'), "serve '25:00'"),
        (('name = "A pork', 'serve = "tonight"\nname = "A pork'), "serve 'tonight'"),
        (('name = "A pork', 'grate = "2cm"\nname = "A pork'), "grate '2cm'"),
        (('name = "A pork', 'grate = "25cm"\nname = "A pork'), "m2 of food"),
        (('mass = "2.5 kg"', 'mass = "30 kg"\nthickness = "6 cm"'), "at most 0.29 m2 on a grate 61cm across"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(change: tuple[str, str], said: str) -> None:
    text = SHOULDER.replace(*change).replace('"2.5 kg"', '"8 kg"')
    with pytest.raises(UserError) as refused:
        parse_plan(text)
    assert said in str(refused.value) and "\n" not in str(refused.value)
