"""The trial of the demonstration: tempered chops against fridge-cold ones, in rehearsed cooks, tasted by a panel.

Everything is invented and marked so: the cooks are rehearsals on a simulated cooker, the weights what its chops gave
off by evaporation (nothing drips there), the panel a draw of chance by how far the two differed in weight lost.
"""

from __future__ import annotations

import random
import time
from pathlib import Path
from typing import Any

from emberdraft.daemon.plan import Plan, parse_plan
from emberdraft.daemon.recorder import Recorder
from emberdraft.daemon.rehearsal import Rehearsal
from emberdraft.errors import UserError
from emberdraft.store.place import default_path
from emberdraft.store.store import Store
from emberdraft.trials.answer import answer_of, whole
from emberdraft.trials.deeds import do
from emberdraft.trials.deeds_tasting import tasting_of
from emberdraft.trials.tasting import TRIANGLE, share_right

Row = dict[str, Any]
SEED = 1908  # the year of Student's paper; the trial's own chance is drawn from it, so that the demonstration repeats
DAY_S = 86400.0
COLD_C, TEMPERED_C = 4.0, 8.0  # 45 min in a kitchen of 20 degC warm the middle of a chop of 38 mm no further
D_PRIME_A_PERCENT = 0.3  # invented: sensory distance for each percent of mass lost more
PANEL = 4
QUESTION = "Do pork chops that stood 45 min in the kitchen cook otherwise than chops from the fridge?"
NOTE = (
    "Invented: rehearsed on a simulated cooker; no such cook has been done, and nobody ate. Mass lost in the cook is "
    "what evaporated: simulated chops neither drip nor give off juice as they rest, so that real ones lose more."
)
PROBE_OFF_C = 0.4
PULL_C = 57.0
PIECE = """
[[piece]]
letter = "{0}"
name = "{1}"
animal = "pork"
probe = {2}
mass = "{3:.0f} g"
thickness = "{4:.1f} mm"
start = "{5:.1f}C"
pull = "{6:g}C"
final = "63C"
rest = "5 min"
"""
PLAN = """# Everything in this plan is invented: no such cook has been done.
version = 1
name = "Tempered chops, cook {0}"
invented = true
ambient = "{1:.0f}C"
wind = "{2:.1f} m/s"

[light]
target = "115C"

[soak]
least = "15 min"
longest = "30 min"

[set_up]
parts = ["deflector", "grate"]
mass = "5 kg"

[slow]
target = "115C"
expect = "75 min"

[bank]
until = "150C"
longest = "10 min"
{3}
[stand_in]
delay = "25 s"
lid = "30 s"
"""


def run(db: Path | None, cooks: int) -> Row:
    """Make the trial with its cooks and tastings; its answer, number and record."""
    if not 1 <= cooks <= 12:
        raise UserError(f"--cooks {cooks}: 1 to 12 would be right")
    path = db or default_path().with_name("trial_demo.sqlite")
    start_s = float(int(time.time())) - 7.0 * DAY_S * (cooks + 1)
    chance = random.Random(f"trial demo {SEED}")
    with Store(path) as store:
        trial_id = _begin(store, cooks, start_s)
        do(store, "assign", {"trial": trial_id}, start_s + 60.0)
        trial = whole(store, trial_id)
    for week in range(cooks):
        _one_cook(path, trial, week, start_s + 7.0 * DAY_S * (week + 1), chance)
    with Store(path) as store:
        return {"db": str(path), "trial": trial_id, "answer": answer_of(store, trial_id)}


def _begin(store: Store, cooks: int, start_s: float) -> int:
    values = {
        **{"name": "Tempered chops", "question": QUESTION, "main": "time_to_pull", "seed": SEED, "start_s": start_s},
        **{"least_value": 3.0, "tolerance_c": 1.0, "off_centre_m": 0.003, "scale_kg": 0.001, "invented": 1},
        "note": NOTE,
    }
    blocks = [f"cook {week}, {half} roast" for week in range(1, cooks + 1) for half in ("first", "second")]
    pieces = [(f"{place + 1}{side}", block) for place, block in enumerate(blocks) for side in "ab"]
    return store.trials.add_trial(values, ["fridge-cold", "tempered"], pieces)


def _one_cook(path: Path, trial: Row, week: int, start_s: float, chance: random.Random) -> None:
    """Two days in the fridge, a rehearsal, weighings before and after, and a tasting by the panel."""
    names = {t["id"]: t["name"] for t in trial["treatments"]}
    own = trial["pieces"][4 * week : 4 * week + 4]
    mass_kg = _alike(own, chance)
    plan = parse_plan(_plan_text(own, names, mass_kg, week, chance), where="the demonstration's plan")
    with Store(path) as store:
        _wait_in_the_fridge(store, trial["id"], own, mass_kg, start_s, chance)
    cook_id, lost_kg = _rehearsed(path, plan, week, start_s, chance)
    with Store(path) as store:
        letters = {piece["name"]: letter for piece, letter in zip(own, "ABCD", strict=True)}
        do(store, "cook", {"trial": trial["id"], "cook": cook_id, "pieces": letters}, start_s)
        for piece in own:
            left_g = 1000.0 * (mass_kg[piece["name"]] - lost_kg[letters[piece["name"]]])
            _weigh(store, trial["id"], piece["name"], "pulled", left_g, start_s + 9000.0)
        _tasted(store, trial["id"], cook_id, own, names, mass_kg, lost_kg, start_s + 12000.0, chance)


def _alike(own: list[Row], chance: random.Random) -> dict[str, float]:
    """Masses in kg as they go on: neighbours of one roast are alike."""
    roast = {piece["block"]: chance.gauss(0.420, 0.015) for piece in own}
    return {piece["name"]: round(roast[piece["block"]] + chance.gauss(0.0, 0.006), 3) for piece in own}


def _wait_in_the_fridge(
    store: Store, trial_id: int, own: list[Row], mass_kg: dict[str, float], start_s: float, chance: random.Random
) -> None:
    for piece in own:
        raw_g = 1000.0 * mass_kg[piece["name"]] * (1.0 + chance.uniform(0.012, 0.018))
        _weigh(store, trial_id, piece["name"], "raw", raw_g, start_s - 2.0 * DAY_S)
        _weigh(store, trial_id, piece["name"], "on", 1000.0 * mass_kg[piece["name"]], start_s - 600.0)
    for day in (2.0, 1.0, 0.1):
        air = f"{chance.uniform(2.0, 3.8):.1f}C"
        do(store, "fridge", {"trial": trial_id, "air": air}, start_s - day * DAY_S)
    words = "Surfaces dry and darker than on the day they were cut (invented)."
    do(store, "look", {"trial": trial_id, "words": words}, start_s - 0.1 * DAY_S)


def _weigh(store: Store, trial_id: int, piece: str, step: str, mass_g: float, at_s: float) -> None:
    do(store, "weigh", {"trial": trial_id, "piece": piece, "step": step, "mass": f"{mass_g:.0f}g"}, at_s)


def _plan_text(
    own: list[Row], names: dict[int, str], mass_kg: dict[str, float], week: int, chance: random.Random
) -> str:
    thick_mm = {piece["block"]: chance.gauss(38.0, 1.2) for piece in own}
    pieces = []
    for probe, (letter, piece) in enumerate(zip("ABCD", own, strict=True)):
        treatment = names[piece["treatment_id"]]
        start_c = (COLD_C if treatment == "fridge-cold" else TEMPERED_C) + chance.gauss(0.0, 0.3)
        name, thick = f"{piece['name']}, {treatment}", thick_mm[piece["block"]] + chance.gauss(0.0, 0.4)
        mass_g = 1000.0 * mass_kg[piece["name"]]
        pieces.append(PIECE.format(letter, name, probe, mass_g, thick, start_c, PULL_C))
    return PLAN.format(week + 1, chance.uniform(8.0, 20.0), chance.uniform(0.5, 3.0), "".join(pieces))


def _rehearsed(
    path: Path, plan: Plan, week: int, start_s: float, chance: random.Random
) -> tuple[int, dict[str, float]]:
    """The cook's number, and by letter what each piece gave off until it was pulled, in kg."""
    with Recorder(path, plan, start_s) as recorder:
        made = Rehearsal(plan, None, recorder, SEED + week, start_s)
        for probe in range(4):
            made.world.break_probe(probe, "offset", chance.gauss(0.0, PROBE_OFF_C))
        made.run()
    slabs = {letter: made.world.resting[index] for letter, index in made.person.resting.items()}
    return recorder.cook_id, {letter: slab.lost_g_m2 * slab.area_m2 / 1000.0 for letter, slab in slabs.items()}


def _tasted(
    store: Store,
    trial_id: int,
    cook_id: int,
    own: list[Row],
    names: dict[int, str],
    mass_kg: dict[str, float],
    lost_kg: dict[str, float],
    at_s: float,
    chance: random.Random,
) -> None:
    """A triangle for each of the panel; who cannot tell guesses."""
    share = {"fridge-cold": 0.0, "tempered": 0.0}
    for piece, letter in zip(own, "ABCD", strict=True):
        share[names[piece["treatment_id"]]] += 50.0 * lost_kg[letter] / mass_kg[piece["name"]]
    right = share_right(TRIANGLE, D_PRIME_A_PERCENT * abs(share["tempered"] - share["fridge-cold"]))
    body = {"trial": trial_id, "method": "triangle", "answers": PANEL, "cook": cook_id}
    tasting_id = do(store, "taste", body, at_s)["tasting"]
    for serving in tasting_of(store, tasting_id)["servings"]:
        odd = next(i for i, s in enumerate(serving["samples"]) if serving["samples"].count(s) == 1)
        others = [i for i in range(3) if i != odd]
        code = serving["codes"].split()[odd if chance.random() < right else chance.choice(others)]
        taster = f"taster {serving['place']} (invented)"
        do(store, "answer", {"tasting": tasting_id, "code": code, "taster": taster}, at_s + 60.0 * serving["place"])
    do(store, "close", {"tasting": tasting_id}, at_s + 900.0)
