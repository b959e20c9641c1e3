"""What a change makes of the evening, said before it is made: "Dinner about 19:05 rather than 19:25"."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from emberdraft.daemon.sentence import clock
from emberdraft.daemon.stage import Stage
from emberdraft.evening.going import Evening, Outlook, after, on_for_dinner, outlook
from emberdraft.evening.habits import Habit
from emberdraft.evening.past import Band
from emberdraft.said import Text, said

SAME_S = 60.0
WORTH_S = 120.0  # of another step than dinner
MOST = 3
STEPS = {"set in": "Set in", "soaked": "Soaked", "climb": "The climb", "sear": "The sear"}
Row = dict[str, Any]


@dataclass(frozen=True)
class Seen:
    """A cook as it is, or as it would be: its evening, when a hold without food ends, and what was last said."""

    evening: Evening | None
    hold_ends_s: float | None
    said: Text


def hold_ends_s(stage: Stage) -> float | None:
    """When the time of the hold is over, unix s; None while that is not known, or where it has none."""
    slow = stage.plan.slow
    if slow is None or slow.for_s is None or stage.run.step != "slow":
        return None
    return stage.slow_start_s() + float(slow.for_s)


def foreseen(name: str, was: Seen, is_: Seen, raises: bool, known: Mapping[str, Habit]) -> Row:
    """`lines`; `raises`: it needs somebody at the cooker; `more`: what the command is to be given besides."""
    evening, more = is_.evening, {}
    if evening is not None and was.evening is not None:
        evening = after(was.evening, evening)
    if name == "dinner" and evening is not None:
        more = {"on_at": on_for_dinner(evening, known)}
        evening = replace(evening, past=replace(evening.past, on_s=more["on_at"]))
    before = None if was.evening is None else outlook(was.evening, known)
    then = None if evening is None else outlook(evening, known)
    lines: list[Text] = [_sentence(is_.said), *_hold(was, is_), *said_of(before, then, evening)]
    return {"lines": [line for line in lines if line], "raises": raises, "more": more}


def _sentence(text: Text) -> Text:
    return text if not text or str(text).endswith(".") else said("{text}.", text=text)


def _hold(was: Seen, is_: Seen) -> Iterator[str]:
    if is_.evening is None and is_.hold_ends_s is not None and is_.hold_ends_s != was.hold_ends_s:
        rather = f" rather than {clock(was.hold_ends_s)}" if was.hold_ends_s is not None else ""
        yield f"The hold ends at {clock(is_.hold_ends_s)}{rather}."


def said_of(before: Outlook | None, then: Outlook | None, evening: Evening | None) -> Iterator[str]:
    """Dinner first, then the steps that move most, then the odds of the hour."""
    if then is None or evening is None:
        return
    yield _dinner(before, then.ready_s)
    if before is not None:
        yield from _steps(before, then)
    if then.sure is not None and evening.serve_s is not None:
        often = _times(then.sure)
        was = "" if before is None or before.sure is None or _times(before.sure) == often else _times(before.sure)
        yield f"On time at {clock(evening.serve_s)}: {often} times in ten" + (f" rather than {was}." if was else ".")


def _times(sure: float) -> str:
    return f"{10.0 * sure:.0f}"


def _dinner(before: Outlook | None, ready_s: Band) -> str:
    low, mid, high = (clock(at_s) for at_s in ready_s)
    between = f"probably {low} to {high}"
    if before is None:
        return f"Dinner about {mid}, {between}."
    was_s = before.ready_s[1]
    if abs(was_s - ready_s[1]) < SAME_S:
        return f"Dinner stays at about {mid}, {between}."
    return f"Dinner about {mid} rather than {clock(was_s)}, {between}."


def _steps(before: Outlook, then: Outlook) -> Iterator[str]:
    was, moved = dict(before.steps), []
    for name, band in then.steps[:-1]:
        if name not in was:
            moved.append((float("inf"), f"{STEPS.get(name, name)} at about {clock(band[1])}"))
        elif abs(band[1] - was[name][1]) >= WORTH_S:
            by_s = abs(band[1] - was[name][1])
            moved.append((by_s, f"{STEPS.get(name, name)} {clock(band[1])} rather than {clock(was[name][1])}"))
    found = sorted(moved, key=lambda row: -row[0])[:MOST]
    if found:
        yield "; ".join(text for _, text in found) + "."
