"""The words and rows of a trial's report, alike on the page to look at and on the page to print."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from emberdraft import __version__
from emberdraft.trials.answer import day
from emberdraft.trials.curves import legend
from emberdraft.trials.measures import MEASURES, STEPS
from emberdraft.trials.words import p_words

Row = dict[str, Any]
DATA_CAPTION = "±: two standard uncertainties, from probes and their place in the piece, or from the scale."
WEIGHTS_CAPTION = "The last weighing of each step. Cooking loss is from going on, fridge loss until then."
BARS = "what probes or scale leave open, two standard uncertainties"
METHODS = (
    "Within a block the pieces are alike; a pair is the difference of its two treatments' means.",
    "Paired t: Student, The probable error of a mean, Biometrika 6 (1908). Wilcoxon's signed ranks: exact, zeros "
    "dropped. Swaps: the labels dealt again within each block, all ways when they are few (Fisher's randomisation "
    "test). More than two treatments: Friedman's ranks; p of each two by Holm's adjustment.",
    "Doubt of a single difference: probe tolerance and place of the tip, carried through the curve's slope; combined "
    "as in the GUM (JCGM 100:2008), shown as two standard uncertainties.",
    "Fewer than six pairs, or five tasters two-sided, can show nothing at the 5\u00a0% level whatever they say; no "
    "verdict is given of them.",
    "Tasting: exact binomial as in ISO 4120 (triangle), ISO 10399 (duo-trio), ISO 5495 (paired); who can really tell "
    "by Abbott's formula; d' by Thurstonian models (Ennis 1993).",
)


def made_by(answer: Row) -> str:
    """What worked it out, and where the numbers and the record are described."""
    return (
        f"Worked out by Emberdraft {__version__}. The numbers: emberdraft trial compare {answer['trial']['id']} "
        "--json; the record: docs/reference/database.md."
    )


def weights_rows(trial: Row) -> tuple[list[str], list[list[str]]]:
    """Heads and cells of the weights in g, a column for each step that was weighed; the last weighing of a step."""
    masses = {(w["trial_piece_id"], w["step"]): w["mass_kg"] for w in trial["weighings"]}
    steps = [step for step in STEPS if any(key[1] == step for key in masses)]
    rows = [[p["name"], *(_grams(masses.get((p["id"], step))) for step in steps)] for p in trial["pieces"]]
    return ["piece", *(f"{step}, g" for step in steps)], rows if steps else []


def values_rows(answer: Row) -> tuple[list[str], list[list[str]]]:
    """Heads and cells of the table of pieces."""
    keys = [key for key in MEASURES if any(key in row["values"] for row in answer["values"])]
    heads = ["piece", "block", "treatment", "cook", *(f"{MEASURES[k].words}, {MEASURES[k].unit}" for k in keys)]
    rows = [
        [
            row["name"], row["block"], row["treatment"] or "\u2013",
            "\u2013" if row["cook_id"] is None else f"{row['cook_id']} {row['letter']}",
            *(_cell(row["values"].get(key)) for key in keys),
        ]
        for row in answer["values"]
    ]  # fmt: skip
    return heads, rows


def _grams(mass_kg: float | None) -> str:
    return "\u2013" if mass_kg is None else f"{1000.0 * mass_kg:.0f}"


def _cell(found: Row | None) -> str:
    if found is None:
        return "\u2013"
    digits = 1 if found["value"] >= 10.0 else 3 if found["value"] < 1.0 else 2
    return f"{found['value']:.{digits}f}\u00a0\u00b1\u00a0{2.0 * found['doubt']:.{digits}f}"


def days_lines(answer: Row) -> list[str]:
    """The days before the cook, and on which days the cooks were."""
    trial = answer["trial"]
    said = []
    if trial["fridge"]:
        air = [row["air_c"] for row in trial["fridge"]]
        said.append(f"Fridge: {min(air):g} to {max(air):g} °C in {len(air)} readings.")
    said += [f"{day(look['at_s'])}: {look['words']}" for look in trial["looks"] if look["words"]]
    cooks = ", ".join(f"{cook['id']} on {day(cook['start_s'])}" for cook in answer["cooks"])
    return [*said, f"Cooks: {cooks}; all curves of one: emberdraft report COOK -o cook.html."] if cooks else said


def curves_caption(trial: Row, cook: Row) -> str:
    """What a picture of curves shows."""
    line = "" if cook["to_c"] is None else f" Line across: {cook['to_c']:g} °C."
    first = ", ".join(piece["name"] for piece in sorted(cook["pieces"], key=lambda p: p["minutes"][-1]))
    return (
        f"Cook {cook['cook']}: core in °C over minutes since each piece went on, until it was pulled: {first}. "
        f"{legend(trial['treatments'])}.{line}"
    )


def measure_title(row: Row) -> str:
    """A measure as a heading, with whether it decides."""
    return f"{row['words'][0].upper()}{row['words'][1:]}{', which decides' if row['decides'] else ''}"


def measure_lines(row: Row) -> Iterator[str]:
    """What a measure says: each comparison with its tests; over all treatments where there are more than two."""
    for contrast in row["contrasts"]:
        yield contrast["words"]
        yield from tests_words(contrast)
    if len(row["contrasts"]) > 1:
        yield from omnibus_words(row["omnibus"])


def tests_words(contrast: Row) -> Iterator[str]:
    """The three tests of a contrast in a line."""
    if contrast["p_t"] is not None:
        yield (
            f"Paired t {p_words(contrast['p_t'])}; signed ranks {p_words(contrast['p_wilcoxon'])}; swaps within pairs "
            f"{p_words(contrast['p_permutation'])}."
        )


def omnibus_words(omnibus: Row | None) -> Iterator[str]:
    """The tests over all treatments in a line."""
    if omnibus is not None:
        ranks = "" if omnibus["p_friedman"] is None else f"; Friedman's ranks {p_words(omnibus['p_friedman'])}"
        yield f"Swaps within {omnibus['blocks']} blocks {p_words(omnibus['p_blocked'])}{ranks}."


def tasting_lines(pooled: Row) -> list[str]:
    """A pooled tasting in lines."""
    asked = f"{pooled['asked']} {pooled['tastings']} tastings, {pooled['total']} answers, {pooled['tasters']} tasters."
    if pooled["share"] is None or pooled["too_few"]:
        return [asked, pooled["words"]]
    distance = "not to be told, all answers agree" if pooled["d_prime"] is None else f"{pooled['d_prime']:.2f}"
    return [
        asked,
        pooled["words"],
        f"Who can really tell: about {pooled['share']:.0%}. Sensory distance d': {distance}.",
    ]


def tasting_title(pooled: Row) -> str:
    """A pooled tasting as a heading."""
    return f"Tasting: {pooled['method']}, {pooled['a']} and {pooled['b']}"
