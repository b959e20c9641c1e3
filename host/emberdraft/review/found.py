"""What happened to the pit, found in the record: lid lifts, and disturbances that no lid explains."""

from __future__ import annotations

from bisect import bisect_right
from typing import Any

from emberdraft.phases import held_in
from emberdraft.review.columns import Columns, Row, between, last_before
from emberdraft.review.metrics import BAND_C, first_reach
from emberdraft.review.phases import wanted_c

# Two lifts closer than this are one.
SAME_LIFT_S = 5.0
# After the lid is shut: how long the pit may go on falling, and how long a rebound is looked for.
FALL_ON_S = 120.0
REBOUND_S = 1200.0
# A disturbance leaves the band, goes at least this far, and lasts at least this long.
DISTURBED_C = 5.0
DISTURBED_S = 60.0


def lid_lifts(columns: Columns, phases: list[Row]) -> list[Row]:
    """Each lift: at_s, open_s (None: still open), phase, drop_c, recovery_s, rebound_c.

    `drop_c` is from the pit just before to its lowest soon after; `recovery_s` from shutting the lid until the pit is
    back within 3 degC of its target (or of what it was before, if it was not at the target); `rebound_c` the most above
    that afterwards. The last two are for phases that hold the pit, and end with the phase or the next lift.
    """
    spans = _open_spans(columns)
    starts = [start_s for start_s, _ in spans] + [None]
    return [_lift(columns, span, later_s, phases) for span, later_s in zip(spans, starts[1:], strict=True)]


def disturbances(columns: Columns, phases: list[Row], lifts: list[Row]) -> list[Row]:
    """Times the held pit left its band though no lid was lifted: at_s, duration_s, worst_c (signed), phase."""
    found: list[Row] = []
    for phase in phases:
        if held_in(phase["phase"]) == "pit":
            found += _disturbances_in(between(columns, phase["at_s"], phase["end_s"]), phase, lifts)
    return found


def _open_spans(columns: Columns) -> list[tuple[float, float | None]]:
    """Start and end of each time the lid was open; end None when the record ends with it open."""
    spans: list[tuple[float, float | None]] = []
    was_open = False
    for at_s, is_open in zip(columns["at_s"], columns["lid_open"], strict=True):
        if is_open is None or bool(is_open) == was_open:
            continue
        was_open = bool(is_open)
        if not was_open:
            spans[-1] = (spans[-1][0], at_s)
        elif spans and spans[-1][1] is not None and at_s - spans[-1][1] < SAME_LIFT_S:
            spans[-1] = (spans[-1][0], None)
        else:
            spans.append((at_s, None))
    return spans


def _phase_at(phases: list[Row], at_s: float) -> Row | None:
    return next((p for p in reversed(phases) if p["at_s"] <= at_s), None)


def _lift(columns: Columns, span: tuple[float, float | None], later_s: float | None, phases: list[Row]) -> Row:
    start_s, shut_s = span
    phase = _phase_at(phases, start_s)
    before_c = last_before(columns, "pit_c", start_s, 30.0)
    until_s = _sooner(later_s, None if shut_s is None else shut_s + FALL_ON_S)
    lowest_c = min(_present(between(columns, start_s, until_s)["pit_c"]), default=None)
    lift = {
        "at_s": start_s,
        "open_s": None if shut_s is None else shut_s - start_s,
        "phase": None if phase is None else phase["phase"],
        "drop_c": None if before_c is None or lowest_c is None else max(0.0, before_c - lowest_c),
        "recovery_s": None,
        "rebound_c": None,
    }
    after = None if shut_s is None else _phase_at(phases, shut_s)
    if shut_s is None or before_c is None or after is None or held_in(after["phase"]) != "pit":
        return lift
    return lift | _recovery(between(columns, shut_s, _sooner(later_s, after["end_s"])), after, before_c)


def _recovery(part: Columns, phase: Row, before_c: float) -> Row:
    target = wanted_c(part, phase, "pit")
    level = [before_c if want is None or abs(want - before_c) > DISTURBED_C else want for want in target]
    errors = [None if pit is None else pit - want for pit, want in zip(part["pit_c"], level, strict=True)]
    back = _back_in_band(part["at_s"], errors)
    if back is None:
        return {}
    last = bisect_right(part["at_s"], part["at_s"][back] + REBOUND_S)
    rebound_c = max(0.0, *_present(errors[back:last]))
    return {"recovery_s": part["at_s"][back] - part["at_s"][0], "rebound_c": rebound_c}


def _back_in_band(at_s: list[float], errors: list[float | None]) -> int | None:
    """Place of the first reading back in the band, counted from the lowest one: the pit falls on for a while."""
    fallen = bisect_right(at_s, at_s[0] + FALL_ON_S) if at_s else 0
    lows = [(error, k) for k, error in enumerate(errors[:fallen]) if error is not None]
    if not lows:
        return None
    lowest, place = min(lows)
    if lowest >= -BAND_C:
        return 0
    later = enumerate(errors[place:], place)
    return next((k for k, error in later if error is not None and error >= -BAND_C), None)


def _disturbances_in(part: Columns, phase: Row, lifts: list[Row]) -> list[Row]:
    wanted = wanted_c(part, phase, "pit")
    errors = [None if None in pair else pair[0] - pair[1] for pair in zip(part["pit_c"], wanted, strict=True)]
    reached = first_reach(part["at_s"], errors)
    if reached is None:
        return []
    found = []
    run: list[tuple[float, float]] = []
    for at_s, error in [*zip(part["at_s"][reached:], errors[reached:], strict=True), (float("inf"), 0.0)]:
        if error is None or _shaken_by_lid(at_s, lifts):
            continue
        if abs(error) > BAND_C and (not run or (error > 0.0) == (run[0][1] > 0.0)):
            run.append((at_s, error))
            continue
        found += _as_disturbance(run, phase)
        run = []
    return found


def _as_disturbance(run: list[tuple[float, float]], phase: Row) -> list[Row]:
    if not run:
        return []
    worst_c = max((error for _, error in run), key=abs)
    duration_s = run[-1][0] - run[0][0]
    if abs(worst_c) < DISTURBED_C or duration_s < DISTURBED_S:
        return []
    return [{"at_s": run[0][0], "duration_s": duration_s, "worst_c": worst_c, "phase": phase["phase"]}]


def _shaken_by_lid(at_s: float, lifts: list[Row]) -> bool:
    """Whether a lift, its recovery or its rebound is still what moves the pit."""
    for lift in lifts:
        if lift["at_s"] <= at_s:
            open_s = float("inf") if lift["open_s"] is None else lift["open_s"]
            if at_s <= lift["at_s"] + open_s + (lift["recovery_s"] or 0.0) + REBOUND_S:
                return True
    return False


def _present(values: list[Any]) -> list[float]:
    return [value for value in values if value is not None]


def _sooner(*moments: float | None) -> float | None:
    known = [moment for moment in moments if moment is not None]
    return min(known) if known else None
