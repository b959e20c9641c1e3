"""What is said before lighting against evenings that take place: rehearsed cookers, and food of other equations."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from emberdraft.errors import UserError
from emberdraft.evening.draws import draw, live
from emberdraft.evening.fire import charcoal
from tests.evening.evenings import CUTS, KINDS, Took, judge, other_food, took
from tests.food.unseen import pieces
from tests.proof.fixture import Proof

# Fixed before the first look: two draws of six kinds of cooker, blocks of food from a seed of their own.
COOKERS = [(kind, number) for kind in KINDS for number in (71, 72)]
PIECES, FIRST_SEED = 8, 410_000


def _cooked(place: tuple[str, int]) -> Took | None:
    """One cut on one cooker; None where the evening never came to its end."""
    kind, number = place
    cut = CUTS[(number + KINDS.index(kind)) % len(CUTS)]
    with TemporaryDirectory() as folder:
        try:
            return took(kind, number, cut, 100 * number + KINDS.index(kind), Path(folder) / "cook.db")
        except UserError:
            return None


def test_a_rehearsed_evening_of_a_cooker_it_was_not_made_on_lies_in_its_band(tmp_path: Path) -> None:
    """One cooker of a kind that no constant was read off, two chops."""
    made = took("two_zone", 31, "chop", 310, tmp_path / "cook.db")
    judged = judge(made.wanted, made.ready_s)
    assert judged.inside
    assert judged.error_share < 0.15
    assert abs(made.pulled_s[0] - made.pulled_s[1]) > 0.0


@pytest.mark.prove("dinner time")
def test_the_bands_hold_what_evenings_take(proof: Proof) -> None:
    with ProcessPoolExecutor(2) as pool:
        made = [cooked for cooked in pool.map(_cooked, COOKERS) if cooked is not None]
    blocks = list(pieces(PIECES * len(made), FIRST_SEED))
    proof.record("cookers whose evening came to its end", len(made), note=f"of {len(COOKERS)}")
    whole = [judge(cooked.wanted, cooked.ready_s) for cooked in made]
    proof.record("rehearsed whole: in the 80 % band", _share([j.inside for j in whole]), note=f"of {len(whole)}")
    proof.record("rehearsed whole: median of error / duration", _median([j.error_share for j in whole]))
    coal = [_burns(cooked) for cooked in made]
    proof.promise("rehearsed whole: charcoal in its 80 % band", _share(coal), at_least=0.72, note=f"of {len(coal)}")
    each = [[judge(*other_food(c, p)) for p in blocks[i :: len(made)]] for i, c in enumerate(made)]
    flat = [j for group in each for j in group]
    low, high = _clustered([[j.inside for j in group] for group in each])
    note = f"of {len(flat)}; 95 % by cooker {low} to {high}; asked of 480 evenings: 0.75 to 0.85"
    proof.promise(
        "food of other equations: in the 80 % band", _share([j.inside for j in flat]), at_least=0.75, note=note
    )
    kept = _share([j.kept for j in flat])
    proof.promise("food of other equations: 'nine times in ten' kept", kept, at_least=0.85, note="asked 0.85 to 0.95")
    error = _median([j.error_share for j in flat])
    proof.record("food of other equations: median of error / duration", error, note="asked at most 0.08")


def _burns(cooked: Took) -> bool:
    lived = live(cooked.wanted, draw(cooked.wanted), 0.0)
    low_kg, _, high_kg = charcoal(cooked.wanted, lived, 0.0).band_kg()
    return low_kg <= cooked.burnt_kg <= high_kg


def _share(found: list[bool]) -> float:
    return round(float(np.mean(found)), 3)


def _median(found: list[float]) -> float:
    return round(float(np.median(found)), 3)


def _clustered(groups: list[list[bool]]) -> tuple[float, float]:
    """95 % interval of the share by drawing whole cookers anew."""
    rng = np.random.default_rng(0)
    means = np.array([np.mean(group) for group in groups])
    shares = means[rng.integers(0, means.size, (2000, means.size))].mean(axis=1)
    low, high = np.quantile(shares, (0.025, 0.975))
    return round(float(low), 2), round(float(high), 2)
