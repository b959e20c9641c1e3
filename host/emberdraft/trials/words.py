"""The sentences of a trial: what was shown, what could not be, and what it would take; each number with its unit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from emberdraft.quantities import say_number
from emberdraft.trials.analysis import ALPHA, SURE, Contrast, Pair
from emberdraft.trials.measures import Measure

Row = dict[str, Any]
NBSP = "\u00a0"


def amount(value: float, measure: Measure, sign: bool = True) -> str:
    """A difference in the unit people read, with its sign and figures enough to see it."""
    return f"{number(value, measure, sign)}{NBSP}{measure.unit_apart}"


def number(value: float, measure: Measure, sign: bool = True) -> str:
    """The same without its unit."""
    shown = value * measure.factor
    digits = 1 if abs(shown) >= 10.0 or measure.unit == "%" else 2 if abs(shown) >= 0.1 or shown == 0.0 else 3
    return f"{'+' if sign and shown > 0.0 else ''}{say_number(shown, digits)}"


def p_words(p: float) -> str:
    """'p = 0.031', or below what is worth printing."""
    return "p < 0.001" if p < 0.001 else f"p = {p:.2g}"


def pair_words(pair: Pair, measure: Measure) -> str:
    """One block's difference beside what probes or scale can tell."""
    doubt = SURE * pair.doubt
    tells = "more than" if abs(pair.difference) >= doubt else "within"
    end = "" if tells == "more than" else ": this pair alone could not show it"
    return (
        f"{pair.block}: {amount(pair.difference, measure)}, {tells} the doubt of "
        f"±{amount(doubt, measure, sign=False)} from {tool(measure)}{end}."
    )


def tool(measure: Measure) -> str:
    """What the doubt of a measure comes from."""
    return "the scale" if measure.key.endswith("loss") else "probes and their place"


def verdict(contrast: Contrast, measure: Measure) -> str:
    """What a contrast says of its measure."""
    return " ".join(_VERDICTS[contrast.state](contrast, measure))


def _seen(contrast: Contrast, measure: Measure) -> str:
    result = contrast.result
    name = f"{contrast.minuend} less {contrast.subtrahend}"
    if result is None:
        mean = sum(pair.difference for pair in contrast.pairs) / len(contrast.pairs)
        return f"{name}: {measure.words} {amount(mean, measure)} ({_pairs(len(contrast.pairs))})"
    return (
        f"{name}: {measure.words} {amount(result.mean, measure)} (95{NBSP}% interval {number(result.low, measure)} to "
        f"{amount(result.high, measure)}; {_pairs(result.pairs)}, {p_words(_decides(contrast))})"
    )


def _decides(contrast: Contrast) -> float:
    return 1.0 if contrast.p_decides is None else contrast.p_decides


def _pairs(count: int) -> str:
    return f"{count} pair{'' if count == 1 else 's'}"


def _needed(contrast: Contrast, measure: Measure) -> Iterator[str]:
    if contrast.needed is not None:
        what = "one as large as was seen" if contrast.least is None else _least(contrast.least, measure)
        yield f"About {contrast.needed} pairs in all would find {what} in 80 of 100 such trials."


def _least(least: float, measure: Measure) -> str:
    """As it was named, without figures that nobody gave."""
    return f"{least * measure.factor:.4g}{NBSP}{measure.unit_apart}"


def _shown(contrast: Contrast, measure: Measure) -> Iterator[str]:
    yield f"A difference at the {100 * ALPHA:g}{NBSP}% level. {_seen(contrast, measure)}."
    if unsure(contrast) and contrast.result is not None:
        yield (
            "That is by Student's t. Swaps within pairs, which take no shape for granted, do not reach that level: "
            f"{p_words(contrast.result.p_permutation)}."
        )
    yield from _worth(contrast, measure)


def _worth(contrast: Contrast, measure: Measure) -> Iterator[str]:
    """Of a difference that was shown: is it as large as what was called worth knowing?"""
    if contrast.least is None or contrast.result is None:
        return
    least = _least(contrast.least, measure)
    if min(abs(contrast.result.low), abs(contrast.result.high)) >= contrast.least:
        yield f"All of the interval is worth knowing: {least} or more."
    else:
        yield f"Whether it is worth knowing, {least} or more, remains open: the interval reaches below that."


def unsure(contrast: Contrast) -> bool:
    """Whether the test that takes no shape for granted would not call it a difference."""
    return contrast.result is not None and contrast.result.p_permutation > ALPHA


def _not_shown(contrast: Contrast, measure: Measure) -> Iterator[str]:
    yield f"No difference shown. {_seen(contrast, measure)}."
    result, least = contrast.result, contrast.least
    if result is not None and least is not None and max(abs(result.low), abs(result.high)) < least:
        yield f"All of the interval is below {_least(least, measure)}, what was called worth knowing."
        return
    yield "That is not proof that they are alike: whatever lies in the interval remains possible."
    yield from _needed(contrast, measure)


def _too_few(contrast: Contrast, measure: Measure) -> Iterator[str]:
    count = len(contrast.pairs)
    yield f"This could not show it: {_pairs(count)}, and {contrast.needed_all} are the fewest that ever could."
    yield f"Seen so far, {_seen(contrast, measure)}."
    yield from _needed(contrast, measure)


def _too_fine(contrast: Contrast, measure: Measure) -> Iterator[str]:
    doubt = SURE * (contrast.doubt or 0.0)
    yield f"This could not show it: {tool(measure)} leave ±{amount(doubt, measure, sign=False)} open."
    if contrast.same_probes:
        yield "Each treatment always had its own probes, so that their errors did not average out: swap them next time."
    yield f"Seen, {_seen(contrast, measure)}."


def _too_coarse(contrast: Contrast, measure: Measure) -> Iterator[str]:
    yield f"This could not show it: all differences are the same, {_seen(contrast, measure)}."
    yield "The scale is too coarse to tell chance from effect."


def _nothing(contrast: Contrast, measure: Measure) -> Iterator[str]:
    yield f"Nothing to compare yet: no block has {measure.words} of both {contrast.minuend} and {contrast.subtrahend}."


_VERDICTS = {
    "shown": _shown,
    "not_shown": _not_shown,
    "too_few": _too_few,
    "too_fine": _too_fine,
    "too_coarse": _too_coarse,
    "nothing": _nothing,
}


def tasting_words(pooled: Row) -> str:
    """What a pooled tasting says, with whom it preferred where that was asked."""
    text: str = pooled["verdict"]
    if pooled["shown"] and pooled["method"] in ("preference", "difference"):
        more = pooled["a"] if 2 * pooled["counts"] > pooled["total"] else pooled["b"]
        text += f" {'Preferred' if pooled['method'] == 'preference' else 'Found ' + pooled['quality']}: {more}."
    if pooled["repeats"]:
        text += " Some tasted more than once: repeats tell of these tasters, not of more people."
    return text
