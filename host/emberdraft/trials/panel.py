"""A blind tasting: who is served what in which order under which codes, what a taster sees, and what came of it.

Orders are balanced: each possible one equally often within 1, in every round of them, who gets which by chance. Of the
triangle there are six (ABB BAA AAB BBA ABA BAB), of the duo-trio four with the reference first, of the others two.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from typing import Any

from emberdraft.errors import UserError
from emberdraft.trials import tasting
from emberdraft.trials.assign import TRIANGLE_ORDERS, codes

Row = dict[str, Any]
MOST_SERVINGS = 120
ORDERS = {
    "triangle": TRIANGLE_ORDERS,
    "duo-trio": ("AAB", "ABA", "BBA", "BAB"),
    "preference": ("AB", "BA"),
    "difference": ("AB", "BA"),
}


def servings(method: str, total: int, seed: int) -> list[tuple[str, str]]:
    """(samples, codes) of each taster in turn. Raises UserError for a method or number that cannot be."""
    if method not in ORDERS:
        raise UserError(f"method {method!r}: one of {', '.join(ORDERS)} would be right")
    if not 1 <= total <= MOST_SERVINGS:
        raise UserError(f"answers {total}: 1 to {MOST_SERVINGS} would be right")
    chance = random.Random(f"orders {seed}")
    orders: list[str] = []
    while len(orders) < total:
        a_round = list(ORDERS[method])
        chance.shuffle(a_round)
        orders += a_round
    given = codes([f"{i}.{k}" for i, order in enumerate(orders[:total]) for k in range(len(order))], seed)
    return [(o, " ".join(given[f"{i}.{k}"] for k in range(len(o)))) for i, o in enumerate(orders[:total])]


def asked(method: str, quality: str) -> str:
    """The question a taster reads."""
    return f"Which of these two is {quality}?" if method == "difference" else tasting.METHODS[method].asked


def choices(method: str, serving: Row) -> list[int]:
    """The places (from 1) a taster may choose; the reference of a duo-trio is none."""
    count = len(serving["samples"])
    return list(range(2, count + 1)) if method == "duo-trio" else list(range(1, count + 1))


def counts(method: str, samples: str, chosen: int) -> bool:
    """Whether an answer counts: right, or for A where there is no right and wrong."""
    if method == "triangle":
        return samples.count(samples[chosen - 1]) == 1
    return samples[chosen - 1] == (samples[0] if method == "duo-trio" else "A")


def seen_by_taster(row: Row, place: int | None = None) -> Row:
    """What the phone may know while a tasting is open: the next serving without its samples, and no count of answers
    for or against anything. `place`: of a phone that has one of its own; without it the first that waits."""
    waiting = [s for s in row["servings"] if s["at_s"] is None]
    own = [s for s in waiting if place in (None, s["place"])]
    following = own[0] if own and row["end_s"] is None else None
    return {
        "id": row["id"],
        "trial_id": row["trial_id"],
        "method": row["method"],
        "asked": asked(row["method"], row["quality"]),
        "closed": row["end_s"] is not None,
        "total": len(row["servings"]),
        "answered": len(row["servings"]) - len(waiting),
        "next": None if following is None else _served(row["method"], following),
    }


def _served(method: str, serving: Row) -> Row:
    given = serving["codes"].split()
    may = choices(method, serving)
    return {
        "place": serving["place"],
        "reference": given[0] if method == "duo-trio" else None,
        "codes": [given[k - 1] for k in may],
    }


def sheet(row: Row, names: dict[int, str]) -> list[Row]:
    """For the one who serves and does not taste: each serving's codes with what is under them."""
    under = {"A": names[row["a_id"]], "B": names[row["b_id"]]}
    return [
        {
            "place": s["place"],
            "plates": [
                {"code": code, "treatment": under[sample], "reference": row["method"] == "duo-trio" and k == 0}
                for k, (code, sample) in enumerate(zip(s["codes"].split(), s["samples"], strict=True))
            ],
        }
        for s in row["servings"]
    ]


def answered(row: Row, code: str, taster: str, at_s: float) -> tuple[int, Row]:
    """The serving a code belongs to, and what is kept of the answer. Raises UserError for a code that cannot be."""
    for serving in row["servings"]:
        given = serving["codes"].split()
        if code in given:
            chosen = given.index(code) + 1
            if chosen not in choices(row["method"], serving):
                raise UserError(f"code {code}: that is the reference; one of the other two would be right")
            hit = counts(row["method"], serving["samples"], chosen)
            return serving["id"], {"taster": taster, "at_s": at_s, "chosen": chosen, "counts": int(hit)}
    raise UserError(f"code {code!r}: no plate of this tasting has it; three digits of one that was served")


def results(rows: Sequence[Row], names: dict[int, str]) -> list[Row]:
    """Closed tastings, those of one method and pair pooled over cooks and rounds."""
    groups: dict[tuple[str, str, str, str], list[Row]] = {}
    for row in rows:
        if row["end_s"] is not None:
            key = (row["method"], row["quality"], names[row["a_id"]], names[row["b_id"]])
            groups.setdefault(key, []).append(row)
    return [_pooled(*key, own) for key, own in groups.items()]


def _pooled(method_name: str, quality: str, a: str, b: str, rows: Sequence[Row]) -> Row:
    method = tasting.METHODS[method_name]
    given = [s for row in rows for s in row["servings"] if s["at_s"] is not None]
    hits, total = sum(s["counts"] for s in given), len(given)
    per_taster = Counter(s["taster"].strip().lower() for s in given if s["taster"].strip())
    made: Row = {
        **{"method": method_name, "quality": quality, "a": a, "b": b, "asked": asked(method_name, quality)},
        **{"tastings": len(rows), "counts": hits, "total": total, "tasters": len(per_taster)},
        "repeats": max(per_taster.values(), default=0) > 1,
        "two_people": tasting.two_people(method),
    }
    return made | (_figures(method, hits, total) if total else NOTHING)


NOTHING: Row = {
    **{"p_value": None, "needed": None, "share": None, "d_prime": None, "power_for_half": None},
    **{"shown": False, "too_few": True, "verdict": "Nobody has tasted: nothing can be said."},
}


def _figures(method: tasting.Method, hits: int, total: int) -> Row:
    needed, p_value = tasting.fewest_correct(method, total, 0.05), tasting.p_value(method, hits, total)
    distance = tasting.d_prime(method, hits, total)
    return {
        "p_value": p_value,
        "needed": needed,
        "share": tasting.discriminators(method, hits, total),
        "d_prime": distance if distance != float("inf") else None,
        "power_for_half": tasting.power(method, total, 0.05, 0.5),
        "shown": needed is not None and p_value <= 0.05,
        "too_few": needed is None,
        "verdict": tasting.verdict(method, hits, total),
    }
