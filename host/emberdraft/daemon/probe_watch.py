"""Which probe is warmed in a hand, and how far probes that stand in one cup are apart. Judged from the last minute.

A tip in a fist rises by degrees in some seconds, which a piece of food never does; one alone must rise, and not beyond
what a hand can make. Probes are compared before use, while nothing is in: a degree between them is usual, common
practice.
"""

from __future__ import annotations

from typing import Any

from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.history import History
from emberdraft.said import Difference, Temperature, Text, joined, said

Row = dict[str, Any]
AGO_S = 20.0
WARMED_C, ALONE = 1.5, 3.0
HAND_MOST_C = 42.0
STEADY_C_PER_MIN = 0.5
USUAL_C = 1.0
CUP_MOST_C = 60.0
HOW = "Warm a tip in your hand: its piece is named. Stand all tips in one cup: how far they are apart is said."


def probe_row(conductor: Conductor, history: History, row: Row, now_s: float) -> Row | None:
    """Each probe with its piece and whether it is in a hand; None where the board has none."""
    values = list(row["core_c"])
    if not values or all(c is None for c in values):
        return None
    warm = warmed(conductor, history, values, now_s)
    by_probe = {piece.probe: piece for piece in conductor.plan.pieces if piece.probe is not None}
    probes = []
    for k, value_c in enumerate(values):
        piece = by_probe.get(k)
        named = {"letter": None, "name": None} if piece is None else {"letter": piece.letter, "name": piece.name}
        probes.append({"probe": k, **named, "value_c": _rounded(value_c), "in_hand": k == warm})
    apart = apart_c(conductor, history, values, now_s)
    return {"probes": probes, "apart_c": apart, "lines": _lines(apart, values)}


def warmed(conductor: Conductor, history: History, values: list[float | None], now_s: float) -> int | None:
    """The probe whose tip is warmed in a hand, or None. A probe in a piece on the grate is never meant."""
    inside = {conductor.stage.plan_pieces[letter].probe for letter in conductor.stage.letters("in", "searing")}
    rises = {k: rise for k in range(len(values)) if (rise := _rise_c(history, values, k, now_s)) is not None}
    free = {k: rise for k, rise in rises.items() if k not in inside and (values[k] or 99.0) <= HAND_MOST_C}
    if not free:
        return None
    best = max(free, key=lambda k: free[k])
    others = [rise for k, rise in rises.items() if k != best]
    alone = all(free[best] >= ALONE * max(rise, 0.0) for rise in others)
    return best if free[best] >= WARMED_C and alone else None


def apart_c(conductor: Conductor, history: History, values: list[float | None], now_s: float) -> float | None:
    """The most that two probes differ while all are still and nothing is in; None when that does not hold."""
    known = [c for c in values if c is not None]
    if len(known) < 2 or len(known) < len(values) or conductor.stage.letters("in", "searing", "resting"):
        return None
    rates = [history.rate_per_min("core_c", now_s, k) for k in range(len(values))]
    still = all(rate is not None and abs(rate) < STEADY_C_PER_MIN for rate in rates)
    return max(known) - min(known) if still and max(known) < CUP_MOST_C else None


def _lines(apart: float | None, values: list[float | None]) -> list[Text]:
    if apart is None:
        return [HOW]
    read = joined(", ", (said("probe {k} {c}", k=k + 1, c=_tenth(c or 0.0)) for k, c in enumerate(values)))
    told = said("Stood in one cup they read {read}: {apart} apart.", read=read, apart=Difference(apart))
    if apart > USUAL_C:
        return [HOW, joined(" ", (told, "That is more than usual: look at plug and cable."))]
    return [HOW, said("{told} Up to {usual} is usual.", told=told, usual=Difference(USUAL_C))]


def _tenth(value_c: float) -> Temperature:
    return Temperature(value_c, 1, 1)  # a tenth in degF too: how far they are apart is read from them


def _rise_c(history: History, values: list[float | None], k: int, now_s: float) -> float | None:
    before, now = history.value_before("core_c", now_s, AGO_S, k), values[k]
    return None if before is None or now is None else now - before


def _rounded(value_c: float | None) -> float | None:
    return None if value_c is None else round(value_c, 1)
