"""Evenings that really take place, on simulated cookers whose equations the evening's models do not share.

The whole cook of a rehearsal: the board's core, a cooker with drawn constants, the food of `plant/slab.py`, a person as
late as the plan's stand-in. What is kept is the record, and the charcoal that only a simulation knows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from emberdraft.daemon import rehearsal
from emberdraft.daemon.evening_of import wanted_of
from emberdraft.daemon.plan import Plan, parse_plan
from emberdraft.daemon.recorder import Recorder
from emberdraft.evening.draws import draw, live
from emberdraft.evening.habits import Habit, spans_s, usual_s
from emberdraft.evening.schedule import GRACE_S
from emberdraft.evening.wanted import Food, Wanted
from emberdraft.plant.catalogue import make
from emberdraft.store.read import Reader
from tests.food.unseen import Piece

KINDS = ("two_zone", "thin_steel", "heavy_ceramic", "leaky_ceramic", "small_ceramic", "muffle")
CUTS = ("chop", "steak")  # the rehearsals' food never dries: what must pass its plateau is never done there
LONGEST_S = 10 * 3600
START_S = 1_800_000_000.0

HEAD = """version = 1
name = "An evening"
invented = true
ambient = "{ambient:.1f}C"
wind = "{wind:.1f} m/s"
[light]
target = "{pit:.0f}C"
[soak]
[set_up]
[slow]
target = "{pit:.0f}C"
[climb]
stone = "{stone:.0f}C"
[sear]
per_side = "75 s"
[stand_in]
delay = "{delay:.0f} s"
"""
PIECE = """[[piece]]
letter = "{letter}"
name = "{cut}"
animal = "{animal}"
cut = "{cut}"
probe = {probe}
mass = "{mass:.2f}kg"
thickness = "{thick:.0f}mm"
pull = "{pull:.0f}C"
final = "{pull:.0f}C"
"""


@dataclass(frozen=True)
class Took:
    """What an evening really took: seconds from lighting to the table and of each stage, charcoal in kg."""

    wanted: Wanted
    ready_s: float
    pulled_s: tuple[float, ...]
    spans_s: dict[str, float]
    hands_s: float  # from the last piece out to the climb, and at the stone
    burnt_kg: float


def plan_for(cut: str, seed: int) -> Plan:
    """A plan for one kind of food, drawn."""
    rng = np.random.default_rng(seed)
    text = HEAD.format(
        ambient=rng.uniform(2.0, 28.0), wind=rng.uniform(0.5, 3.0), delay=rng.lognormal(3.9, 0.6),
        pit=rng.uniform(105.0, 125.0), stone=rng.uniform(240.0, 275.0),
    )  # fmt: skip
    for i in range(2):
        thick = rng.uniform(32.0, 52.0)
        pull = rng.uniform(56.0, 61.0) if cut == "chop" else rng.uniform(46.0, 55.0)
        animal = "pork" if cut == "chop" else "beef"
        mass = 0.011 * thick
        text += PIECE.format(letter="AB"[i], cut=cut, animal=animal, probe=i, mass=mass, thick=thick, pull=pull)
    return parse_plan(text)


@contextmanager
def _cooker(kind: str, draw: int) -> Iterator[None]:
    """Rehearsals meanwhile take place on this one."""
    before = rehearsal.load_plant, rehearsal.LONGEST_S
    rehearsal.load_plant = lambda spec, seed, **others: make(kind, draw, draw, **others)
    rehearsal.LONGEST_S = LONGEST_S
    try:
        yield
    finally:
        rehearsal.load_plant, rehearsal.LONGEST_S = before


def took(kind: str, draw: int, cut: str, seed: int, db: Path) -> Took:
    """Cook it, recorded into `db`."""
    plan = plan_for(cut, seed)
    with _cooker(kind, draw), Recorder(db, plan, START_S) as recorder:
        run = rehearsal.Rehearsal(plan, None, recorder, seed, START_S)
        begun_kg = run.world.plant.bed.fuel_kg
        run.run()
    with Reader(db) as reader:
        (cook, *_) = reader.cooks()
        phases = {row["phase"]: row["at_s"] for row in reader.phases(cook["id"])}
        pulled = tuple(row["pulled_s"] - phases["light"] for row in reader.pieces(cook["id"]))
        spans = spans_s(reader, cook["id"])
    hands_s = phases["climb"] - phases["light"] - max(pulled) + phases["bank"] - phases["sear"]
    burnt_kg = begun_kg - run.world.plant.bed.fuel_kg
    return Took(wanted_of(plan), phases["bank"] - phases["light"], pulled, spans, hands_s, burnt_kg)


@dataclass(frozen=True)
class Judged:
    """One evening against what was said of it before lighting."""

    inside: bool
    kept: bool  # ready by the hour that was promised nine times in ten
    error_share: float


def judge(wanted: Wanted, ready_s: float, known: Mapping[str, Habit] | None = None) -> Judged:
    """`ready_s` from lighting to the table, everything put on as soon as it could be."""
    ready = live(wanted, draw(wanted, known), 0.0).ready
    low_s, mid_s, high_s = np.quantile(ready, (0.1, 0.5, 0.9))
    return Judged(bool(low_s <= ready_s <= high_s), bool(ready_s <= high_s + GRACE_S), abs(ready_s / mid_s - 1.0))


def other_food(took_: Took, piece: Piece) -> tuple[Wanted, float]:
    """The evening of a cooker that was rehearsed with a piece of other equations, and what it takes.

    The stages are stretched to that piece's pit as they are in what is usual; a person and the sear are as they were.
    """
    food = Food("A", "block", "chop", piece.pull_c, float(piece.core_c[0]), piece.mass_kg, piece.thickness_m)
    wanted = replace(took_.wanted, foods=(food,), pit_c=float(np.median(piece.pit_c)))
    then, now = usual_s(took_.wanted), usual_s(wanted)
    stages_s = sum(span * now[stage] / then[stage] for stage, span in took_.spans_s.items())
    return wanted, stages_s + took_.hands_s + piece.pull_at_s
