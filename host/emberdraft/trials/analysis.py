"""A trial worked out: pairs within blocks, effects with intervals, what was too little, and the one sentence.

What decides was named when the trial was made (`main`): two treatments by Student's paired t on the blocks' means, more
of them by the same with Holm's adjustment. Wilcoxon's signed ranks, the swaps within blocks and Friedman's ranks stand
beside it. Fewer blocks than any order of signs could make significant are refused a verdict, whatever they show.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import scipy  # its parts are loaded where they are first used: what starts needs none

from emberdraft.errors import UserError
from emberdraft.trials.blocked import blocked_p, holm
from emberdraft.trials.compare import Paired, friedman, paired, pairs_needed
from emberdraft.trials.measures import MEASURES, Found, Measure

ALPHA = 0.05
POWER = 0.8
SURE = 2.0  # coverage factor of a doubt (GUM: k = 2, about 95 %)
Row = dict[str, Any]


@dataclass(frozen=True)
class Pair:
    """Two treatments in one block: the difference of their means, its doubt from probes and scale (one sigma)."""

    block: str
    difference: float
    doubt: float


@dataclass(frozen=True)
class Contrast:
    """One treatment less another over all blocks; numbers in the measure's unit inside."""

    minuend: str
    subtrahend: str
    pairs: tuple[Pair, ...]
    result: Paired | None
    p_decides: float | None  # Holm-adjusted where there are more than two treatments
    doubt: float | None  # of the mean difference, one sigma
    same_probes: bool  # each treatment always had its own probes: their errors do not average out
    state: str  # shown, not_shown, too_few, too_fine, too_coarse, nothing
    needed: int | None  # pairs to see the least worth knowing, or what was seen
    least: float | None  # the least worth knowing, where it was named
    needed_all: int  # the fewest that could ever show anything


def fewest_pairs(alpha: float = ALPHA) -> int:
    """The fewest pairs of which some order of signs is significant, two-sided: 2 / 2^n <= alpha."""
    return math.ceil(math.log2(2.0 / alpha) - 1e-9)


def contrasts(
    blocks: Mapping[str, Mapping[str, Sequence[Found]]],
    treatments: Sequence[str],
    probes: Mapping[str, set[int]],
    least: float | None = None,
    seed: int = 0,
) -> list[Contrast]:
    """Every later treatment less every earlier one. `blocks`: block -> treatment -> its pieces' values."""
    both = list(itertools.combinations(treatments, 2))
    made = [_pairs(blocks, first, second) for first, second in both]
    results = [_result(pairs, seed) for pairs in made]
    known = [i for i, result in enumerate(results) if result is not None]
    adjusted = dict(zip(known, holm([_p(results[i]) for i in known]), strict=True))
    return [
        _contrast(names, pairs, result, adjusted.get(i), _apart(probes, *names), least, ALPHA / len(both))
        for i, (names, pairs, result) in enumerate(zip(both, made, results, strict=True))
    ]


def _p(result: Paired | None) -> float:
    return 1.0 if result is None else result.p_t


def _pairs(blocks: Mapping[str, Mapping[str, Sequence[Found]]], first: str, second: str) -> tuple[Pair, ...]:
    def mean(found: Sequence[Found]) -> Found:
        doubt = math.sqrt(sum(f.doubt**2 for f in found)) / len(found)
        return Found(sum(f.value for f in found) / len(found), doubt)

    pairs = []
    for block, given in blocks.items():
        if given.get(first) and given.get(second):
            before, after = mean(given[first]), mean(given[second])
            pairs.append(Pair(block, after.value - before.value, math.hypot(before.doubt, after.doubt)))
    return tuple(pairs)


def _result(pairs: Sequence[Pair], seed: int) -> Paired | None:
    try:
        return paired([pair.difference for pair in pairs], [0.0] * len(pairs), seed)
    except UserError:
        return None


def _contrast(
    names: tuple[str, str],
    pairs: tuple[Pair, ...],
    result: Paired | None,
    p_decides: float | None,
    same_probes: bool,
    least: float | None,
    alpha: float,
) -> Contrast:
    doubt = _doubt_of_mean(pairs, same_probes)
    enough = fewest_pairs(alpha)
    state = _state(pairs, result, p_decides, doubt, enough)
    needed = _needed(result, least, alpha, enough)
    return Contrast(
        minuend=names[1], subtrahend=names[0], pairs=pairs, result=result, p_decides=p_decides, doubt=doubt,
        same_probes=same_probes, state=state, needed=needed, least=least, needed_all=enough,
    )  # fmt: skip


def _state(
    pairs: Sequence[Pair], result: Paired | None, p_decides: float | None, doubt: float | None, enough: int
) -> str:
    if not pairs:
        return "nothing"
    if len(pairs) < enough:
        return "too_few"
    if result is None or p_decides is None:
        return "too_coarse"
    if p_decides > ALPHA:
        return "not_shown"
    return "shown" if doubt is None or abs(result.mean) >= SURE * doubt else "too_fine"


def _doubt_of_mean(pairs: Sequence[Pair], same_probes: bool) -> float | None:
    """Probes that chance dealt to both treatments average out over blocks; each treatment's own do not."""
    if not pairs:
        return None
    mean_square = sum(pair.doubt**2 for pair in pairs) / len(pairs)
    return math.sqrt(mean_square if same_probes else mean_square / len(pairs))


def _apart(probes: Mapping[str, set[int]], first: str, second: str) -> bool:
    return bool(probes.get(first)) and bool(probes.get(second)) and not probes[first] & probes[second]


def _needed(result: Paired | None, least: float | None, alpha: float, enough: int) -> int | None:
    if result is None:
        return None
    spread = (result.high - result.low) / 2.0 / _reach(result.pairs)
    try:
        return max(enough, pairs_needed(least or result.mean, spread, alpha, 1.0 - POWER))
    except UserError:
        return None


def _reach(pairs: int) -> float:
    """Half width of a 95 % interval for a spread of 1."""
    return float(scipy.special.stdtrit(pairs - 1, 0.975)) / math.sqrt(pairs)


def omnibus(blocks: Mapping[str, Mapping[str, Sequence[Found]]], treatments: Sequence[str], seed: int) -> Row | None:
    """Friedman's ranks and the swaps within blocks, over blocks that have all treatments; None when fewer than two."""
    whole = [given for given in blocks.values() if all(given.get(name) for name in treatments)]
    if len(whole) < 2:
        return None
    deal = [[(treatments.index(name), f.value) for name in treatments for f in given[name]] for given in whole]
    means = [[sum(f.value for f in given[name]) / len(given[name]) for name in treatments] for given in whole]
    ranks = friedman(means) if len(treatments) > 2 else None
    return {
        "blocks": len(whole),
        "p_blocked": blocked_p(deal, len(treatments), seed),
        "p_friedman": None if ranks is None or math.isnan(ranks) else ranks,
    }


def in_blocks(trial: Row, found: Mapping[int, Mapping[str, Found]], key: str) -> dict[str, dict[str, list[Found]]]:
    """block -> treatment -> values of one measure, of the pieces that have it."""
    names = {t["id"]: t["name"] for t in trial["treatments"]}
    blocks: dict[str, dict[str, list[Found]]] = {}
    for piece in trial["pieces"]:
        value = found.get(piece["id"], {}).get(key)
        if value is not None and piece["treatment_id"] is not None:
            blocks.setdefault(piece["block"], {}).setdefault(names[piece["treatment_id"]], []).append(value)
    return blocks


def analyse_measure(
    trial: Row, found: Mapping[int, Mapping[str, Found]], probes: Mapping[int, int | None], measure: Measure
) -> Row | None:
    """One measure over the whole trial; None when no piece has it."""
    blocks = in_blocks(trial, found, measure.key)
    if not blocks:
        return None
    names = [t["name"] for t in trial["treatments"]]
    decides = trial["main"] == measure.key
    least = trial["least_value"] / measure.factor if decides and trial["least_value"] else None
    made = contrasts(blocks, names, _probes_of(trial, probes, measure), least, trial["seed"])
    return {
        "measure": measure,
        "decides": decides,
        "blocks": blocks,
        "contrasts": made,
        "omnibus": omnibus(blocks, names, trial["seed"]),
    }


def _probes_of(trial: Row, probes: Mapping[int, int | None], measure: Measure) -> dict[str, set[int]]:
    """Which probes each treatment had; a loss is weighed on one scale for all."""
    if measure.key.endswith("loss"):
        return {}
    names = {t["id"]: t["name"] for t in trial["treatments"]}
    used: dict[str, set[int]] = {}
    for piece in trial["pieces"]:
        probe = probes.get(piece["id"])
        if probe is not None and piece["treatment_id"] is not None:
            used.setdefault(names[piece["treatment_id"]], set()).add(probe)
    return used


def analyse(trial: Row, found: Mapping[int, Mapping[str, Found]], probes: Mapping[int, int | None]) -> list[Row]:
    """Every measure some piece has, the one that decides first."""
    rows = [analyse_measure(trial, found, probes, measure) for measure in MEASURES.values()]
    return sorted((row for row in rows if row is not None), key=lambda row: not row["decides"])
