"""Ten cookers that the tuning was not made on: kinds or draws never looked at, and what is measured on each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from emberdraft.bench.cookers import COOKERS, Cooker
from emberdraft.tuning.identify import identify
from emberdraft.tuning.propose import propose
from emberdraft.tuning.twin import ahead
from tests.tuning.cooks import LATER_C, LATER_MIN, MIN, run, story

LEARN_MIN, HOUR_S = 160.0, 3600


def _more(module: str, kind: str, draw: int) -> Cooker:
    return Cooker(f"{module}-{draw}", f"emberdraft.plant.{module}:{kind}", draw, "unseen")


UNSEEN: tuple[Cooker, ...] = (
    *(cooker for cooker in COOKERS if cooker.group == "validation"),
    _more("two_zone", "TwoZone", 53),
    _more("thin_steel", "ThinSteel", 63),
    _more("leaky_ceramic", "LeakyCeramic", 22),
)


@dataclass(frozen=True)
class Verdict:
    """Of one cooker: the unseen hour's RMS error in degC, and the true error with the proposed gains over that without.

    That is measured in a cook of other weather and other sensors; 1.0 where nothing was proposed.
    """

    name: str
    trusted: bool
    hour_rms_c: float
    iae_ratio: float
    predicted_ratio: float
    keep: str


def judge(cooker: Cooker, seed: int = 1) -> Verdict:
    """Learn from the first 160 minutes; predict the next hour, in which the target changes; then cook again."""
    whole = run(cooker, story(LEARN_MIN + 60.0), seed)
    cook = whole.cook(LEARN_MIN)
    model = identify(cook)
    order = (int((LATER_MIN - LEARN_MIN) * MIN), "mode", {"mode": "hold", "phase": "slow", "target_c": LATER_C})
    said = ahead(cook, model.fit, HOUR_S, (order,))
    start = int(LEARN_MIN * MIN)
    miss = said.pit_c - whole.true_c[start : start + HOUR_S]
    proposal = propose(cook, model=model)
    ratio = 1.0
    if not proposal.keep:
        gains = proposal.proposed.gains.as_args()
        before, after = (run(cooker, story(LEARN_MIN + 60.0), seed + 100, **g).iae_cs() for g in ({}, gains))
        ratio = after / before
    rms = float(np.sqrt(np.mean(miss**2)))
    return Verdict(cooker.name, model.trusted, rms, ratio, proposal.iae_ratio[1], proposal.keep)
