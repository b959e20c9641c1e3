"""A slip of dinner, said early, and what could be done about it: each move with what it does, in the same evenings.

Nothing moves by itself: a move is a command that a person may give.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from emberdraft.evening.going import Evening, Outlook, after, on_for_dinner, outlook
from emberdraft.evening.habits import Habit
from emberdraft.evening.schedule import EVEN, GRACE_S, may_wait

EARLY_S = 900.0  # what cannot wait is ready too soon
SURE_AGAIN = 0.6  # a slip that was said is over
HOTTER_C, COOLER_C = (10.0, 20.0), (-10.0,)
PIT_LOW_C, PIT_HIGH_C = 60.0, 180.0  # slow cooking (common practice, no source)
OVER_PULL_C = 10.0  # a pit nearer to the pull than that never brings a piece there
WORTH_S = 180.0
MOST = 3


@dataclass(frozen=True)
class Move:
    """A command with its arguments, and the evening that it makes. `pit_c`: the new target, where it is that."""

    name: str
    args: dict[str, Any]
    outlook: Outlook
    pit_c: float | None = None
    letter: str = ""
    at_s: float = 0.0


def slip_of(evening: Evening, seen: Outlook, said: str = "") -> str:
    """'late', 'early' or ''. `said`: what it was before, so that it does not come and go with each drawing."""
    if evening.serve_s is None or seen.sure is None:
        return ""
    if seen.sure < (SURE_AGAIN if said == "late" else EVEN):
        return "late"
    waits = all(may_wait(food, evening.wanted) for food in evening.wanted.foods)
    early = seen.ready_s[1] < evening.serve_s - (0.5 if said == "early" else 1.0) * EARLY_S
    return "early" if early and not waits else ""


def moves(evening: Evening, seen: Outlook, slip: str, known: Mapping[str, Habit]) -> list[Move]:
    """What brings dinner nearer to its hour by some minutes at least, the best first."""
    if not slip or evening.serve_s is None:
        return []
    found = [*_pits(evening, slip, known), *_later_on(evening, known)]
    off_s = _off_s(evening, seen)
    worth = [move for move in found if off_s - _off_s(evening, move.outlook) >= WORTH_S]
    return sorted(worth, key=lambda move: _off_s(evening, move.outlook))[:MOST]


def _off_s(evening: Evening, seen: Outlook) -> float:
    return abs(seen.ready_s[1] - (evening.serve_s or 0.0)) if seen.ready_s[1] else GRACE_S


def _pits(evening: Evening, slip: str, known: Mapping[str, Habit]) -> Iterator[Move]:
    """A hotter or a cooler pit, while something is still to cook in it."""
    cooks = [food for food in evening.wanted.foods if f"{food.letter} out" not in evening.past.moments]
    least_c = max([PIT_LOW_C, *(food.pull_c + OVER_PULL_C for food in cooks)])
    for by_c in HOTTER_C if slip == "late" else COOLER_C:
        pit_c = evening.wanted.pit_c + by_c
        if cooks and least_c <= pit_c <= PIT_HIGH_C:
            changed = after(evening, replace(evening, wanted=replace(evening.wanted, pit_c=pit_c)))
            args = {"target_c": pit_c, "from_now_on": True}
            yield Move("target", args, outlook(changed, known), pit_c)


def _later_on(evening: Evening, known: Mapping[str, Habit]) -> Iterator[Move]:
    """Each piece that waits, put on at the hour that fits dinner."""
    if "settled" not in evening.past.moments:
        return
    for letter, at_s in on_for_dinner(evening, known).items():
        past = evening.past
        changed = replace(past, after_s={**past.after_s, letter: -1e9}, on_s={**past.on_s, letter: at_s})
        seen = outlook(replace(evening, past=changed), known)
        yield Move("put_on_at", {"letter": letter, "at_s": at_s}, seen, None, letter, at_s)
