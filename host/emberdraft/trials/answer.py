"""The whole answer of a trial as one object: design, what was measured, what it says, and its limits."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from emberdraft.errors import UserError
from emberdraft.trials import panel, words
from emberdraft.trials.analysis import Contrast, analyse
from emberdraft.trials.measures import MEASURES, TASTING, Found, Record, measure

Row = dict[str, Any]


def answer_of(record: Any, trial_id: int) -> Row:
    """Everything a trial can say now. `record`: the store or a reader of it. Codes of open tastings are not in it."""
    trial = whole(record, trial_id)
    found, probes, to_c = measure(record, trial)
    rows = analyse(trial, found, probes)
    tastings = pooled_of(record, trial)
    return {
        "trial": shown_trial(trial),
        "design": list(design(trial, to_c)),
        "to_c": to_c,
        "measures": [_measure_row(row) for row in rows],
        "tastings": [{**row, "words": words.tasting_words(row)} for row in tastings],
        "verdict": _verdict(trial, rows, tastings),
        "values": _values(trial, found, probes),
        "cooks": list(_cooks(record, trial)),
        "limits": list(_limits(trial, rows, tastings, found)),
    }


def whole(record: Any, trial_id: int) -> Row:
    """A trial from the record. Raises UserError when there is none of that number."""
    trial: Row | None = record.trials.whole(trial_id)
    if trial is None:
        known = [row["id"] for row in record.trials.all()]
        right = f"1 to {max(known)} are known" if known else "`emberdraft trial new` makes one"
        raise UserError(f"trial {trial_id}: there is none of that number; {right}")
    return trial


def shown_trial(trial: Row) -> Row:
    """A trial as anybody may see it: of an open tasting neither codes nor answers, only how many."""
    names = {t["id"]: t["name"] for t in trial["treatments"]}
    pieces = [{**piece, "treatment": names.get(piece["treatment_id"])} for piece in trial["pieces"]]
    return {**trial, "pieces": pieces, "tastings": [shown_tasting(row, names) for row in trial["tastings"]]}


def shown_tasting(row: Row, names: Mapping[int, str]) -> Row:
    """A tasting for the list: who was right, and under which code, only once it is closed."""
    kept = {key: value for key, value in row.items() if key not in ("servings", "seed")}
    closed = row["end_s"] is not None
    return {
        **kept,
        "a": names[row["a_id"]],
        "b": names[row["b_id"]],
        "total": len(row["servings"]),
        "answered": sum(s["at_s"] is not None for s in row["servings"]),
        "servings": row["servings"] if closed else None,
        "seed": row["seed"] if closed else None,
    }


def rounds_of(record: Any, trial: Row) -> list[Row]:
    """The trial and the rounds before it, newest first."""
    chain = [trial]
    while chain[-1]["again_of"] is not None and len(chain) < 50:
        before = record.trials.whole(chain[-1]["again_of"])
        if before is None:
            break
        chain.append(before)
    return chain


def pooled_of(record: Any, trial: Row) -> list[Row]:
    """Closed tastings of this trial and the rounds before it, pooled by method and treatments."""
    names: dict[int, str] = {}
    rows: list[Row] = []
    for one in rounds_of(record, trial):
        names |= {t["id"]: t["name"] for t in one["treatments"]}
        rows += one["tastings"]
    return panel.results(rows, names)


def design(trial: Row, to_c: float | None) -> Iterator[str]:
    """How the trial was made, in sentences a stranger can check."""
    names = [t["name"] for t in trial["treatments"]]
    blocks = Counter(piece["block"] for piece in trial["pieces"])
    yield f"{len(names)} treatments: {', '.join(names)}. {names[0]} is what the others are compared with."
    yield f"{len(trial['pieces'])} pieces in {len(blocks)} blocks of what is alike: {'; '.join(blocks)}."
    yield f"What decides was named at the start: {_main_words(trial, to_c)}"
    if trial["assigned_s"] is None:
        yield f"The lots are not drawn yet; their seed, {trial['seed']}, was fixed with the trial."
    else:
        fixed = trial["invented"] and trial["again_of"] is None
        whence = "fixed, so that the demonstration repeats itself" if fixed else "drawn when the trial was made"
        yield (
            f"Chance said who gets what on {day(trial['assigned_s'])}, from the seed {trial['seed']}, {whence}; "
            "balanced in each block."
        )
    yield (
        f"Probes within ±{trial['tolerance_c']:g} °C, their tips within {1000 * trial['off_centre_m']:g} mm of the "
        f"middle, a scale of {1000 * trial['scale_kg']:g} g."
    )
    if trial["again_of"] is not None:
        yield f"The same question was asked before, in trial {trial['again_of']}."


def day(at_s: float) -> str:
    """A date in UTC, as it stands in the record."""
    return datetime.datetime.fromtimestamp(at_s, datetime.UTC).strftime("%Y-%m-%d")


def _main_words(trial: Row, to_c: float | None) -> str:
    if trial["main"] == TASTING:
        return "a blind tasting."
    named = MEASURES[trial["main"]]
    core = f" ({to_c:g} °C)" if to_c is not None and trial["main"] in ("time_to_pull", "rate") else ""
    least = trial["least_value"]
    worth = "" if least is None else f" A difference under {least:g} {named.unit} is not worth knowing."
    return f"{named.words}, {named.how}{core}.{worth}"


def _verdict(trial: Row, rows: list[Row], tastings: list[Row]) -> str:
    """The one sentence: of what was named at the start, and of nothing else."""
    if trial["assigned_s"] is None:
        return "The lots are not drawn yet: nothing can be compared."
    if trial["main"] == TASTING:
        if not tastings:
            return "No tasting has been closed yet: nothing can be said."
        return " ".join(words.tasting_words(row) for row in tastings)
    deciding = next((row for row in rows if row["decides"]), None)
    if deciding is None:
        return f"Nothing to compare yet: no piece has a {MEASURES[trial['main']].words}."
    return " ".join(words.verdict(contrast, deciding["measure"]) for contrast in deciding["contrasts"])


def _measure_row(row: Row) -> Row:
    named = row["measure"]
    return {
        "measure": named.key,
        "words": named.words,
        "unit": named.unit,
        "decides": row["decides"],
        "contrasts": [_contrast_row(contrast, named) for contrast in row["contrasts"]],
        "omnibus": row["omnibus"],
    }


def _contrast_row(contrast: Contrast, named: Any) -> Row:
    result, factor = contrast.result, named.factor
    return {
        "of": contrast.minuend,
        "less": contrast.subtrahend,
        "state": contrast.state,
        "pairs": [
            {
                "block": pair.block,
                "difference": pair.difference * factor,
                "doubt": pair.doubt * factor,
                "words": words.pair_words(pair, named),
            }
            for pair in contrast.pairs
        ],
        "mean": None if result is None else result.mean * factor,
        "low": None if result is None else result.low * factor,
        "high": None if result is None else result.high * factor,
        "p_decides": contrast.p_decides,
        "p_t": None if result is None else result.p_t,
        "p_wilcoxon": None if result is None else result.p_wilcoxon,
        "p_permutation": None if result is None else result.p_permutation,
        "doubt": None if contrast.doubt is None else contrast.doubt * factor,
        "own_probes": contrast.same_probes,
        "pairs_needed": contrast.needed,
        "fewest_pairs": contrast.needed_all,
        "words": words.verdict(contrast, named),
    }


def _values(trial: Row, found: Mapping[int, Mapping[str, Found]], probes: Mapping[int, int | None]) -> list[Row]:
    """The table of pieces: every value with its doubt, in the units people read."""
    names = {t["id"]: t["name"] for t in trial["treatments"]}
    return [
        {
            **{key: piece[key] for key in ("name", "block", "cook_id", "letter")},
            "treatment": names.get(piece["treatment_id"]),
            "probe": probes.get(piece["id"]),
            "values": {
                key: {"value": f.value * MEASURES[key].factor, "doubt": f.doubt * MEASURES[key].factor}
                for key, f in found.get(piece["id"], {}).items()
            },
        }
        for piece in trial["pieces"]
    ]


def _cooks(record: Any, trial: Row) -> Iterator[Row]:
    """The cooks that pieces of the trial were in, with their day."""
    for cook_id in sorted({p["cook_id"] for p in trial["pieces"] if p["cook_id"] is not None}):
        cook = record.cook(cook_id)
        if cook is not None:
            yield {"id": cook_id, "name": cook["name"], "start_s": cook["start_s"], "invented": cook["invented"]}


def _limits(
    trial: Row, rows: list[Row], tastings: list[Row], found: Mapping[int, Mapping[str, Found]]
) -> Iterator[str]:
    """What a stranger should hold against the result."""
    if trial["invented"]:
        yield "Invented: pieces, fires and tasters are simulated; no real fire was burned and nobody ate."
    cooks = {piece["cook_id"] for piece in trial["pieces"] if piece["cook_id"] is not None}
    if len(cooks) == 1:
        yield "All pieces were cooked in one cook: what is shown held on that day, with that fire."
    elif cooks:
        yield f"The pieces are from {len(cooks)} cooks; the pairs of one cook share its fire and weather."
    yield "Who cooked knew which piece was which; only the tasting is blind."
    if len(rows) > 1:
        yield "Only the measure named at the start decides; the others were looked at too, and may mislead by chance."
    idle = [p["name"] for p in trial["pieces"] if trial["main"] != TASTING and trial["main"] not in found[p["id"]]]
    if idle:
        yield f"Left out, without a {MEASURES[trial['main']].words}: {', '.join(idle)}."
    if any(pair.difference for row in rows for c in row["contrasts"] for pair in c.pairs):
        yield "Student's t takes the differences to be bell-shaped; with few pairs nothing can check that."
    if any(words.unsure(c) for row in rows if row["decides"] for c in row["contrasts"]):
        yield (
            "A further round has its number of pairs fixed beforehand and is judged by itself: going on until a test "
            "agrees finds differences that are not there."
        )
    for row in tastings:
        yield row["two_people"]


__all__ = ["Record", "answer_of", "design", "pooled_of", "shown_tasting", "shown_trial", "whole"]
