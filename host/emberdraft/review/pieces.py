"""Figures of each piece: from going on to being pulled, and what its core did after."""

from __future__ import annotations

from bisect import bisect_left

from emberdraft.review.columns import Columns, Row, between

# The pull is noted up to this long after the piece was lifted and the probe drawn out of it.
NOTED_WITHIN_S = 120.0
# The core goes on rising while the piece rests, for no longer than this; less than a minute of it tells nothing.
REST_S = 1800.0
REST_LEAST_S = 60.0
# More from one reading to the next, or more above the pull, than a core does: the probe is no longer in the piece.
PROBE_MOVED_C = 2.0
MOST_CARRY_OVER_C = 20.0


def piece_figures(columns: Columns, piece: Row) -> Row:
    """Figures of one piece (a row of the store's table), None where it has no probe or was not pulled.

    `probe_out_s` is when its probe stopped telling of it: drawn out, or thirty minutes after the pull.
    """
    on_s, pulled_s = piece["on_s"], piece["pulled_s"]
    name = None if piece["probe"] is None else f"core{piece['probe'] + 1}_c"
    core = name if name in columns and on_s is not None else None
    pulled_c, drawn_s = (None, None) if core is None or pulled_s is None else _at_pull(columns, core, pulled_s)
    peak_c, out_s = None, None
    if core is not None and pulled_c is not None and drawn_s is None:
        peak_c, out_s = _peak_c(columns, core, pulled_s, pulled_c)
    ready_s = None if core is None else _reached_s(columns, core, on_s, piece["pull_c"])
    return {
        **{key: piece[key] for key in ("letter", "name", "probe", "pull_c", "rest_c", "on_s", "pulled_s")},
        "on_to_pull_s": None if on_s is None or pulled_s is None else pulled_s - on_s,
        "pulled_c": pulled_c,
        "pulled_over_c": None if pulled_c is None or piece["pull_c"] is None else pulled_c - piece["pull_c"],
        "waited_s": None if ready_s is None or pulled_s is None else max(0.0, pulled_s - ready_s),
        "peak_after_c": peak_c,
        "probe_out_s": out_s if drawn_s is None else drawn_s,
    }


def _at_pull(columns: Columns, core: str, pulled_s: float) -> tuple[float | None, float | None]:
    """Core when the piece was pulled; and when the probe was drawn out, if that was before the pull was noted.

    The core is the highest up to then: a probe on its way out falls slowly at first.
    """
    part = between(columns, pulled_s - NOTED_WITHIN_S, pulled_s + 1e-6)
    before_c = highest_c = None
    for at_s, value in zip(part["at_s"], part[core], strict=True):
        if value is None:
            continue
        if before_c is not None and abs(value - before_c) > PROBE_MOVED_C:
            return highest_c, at_s
        before_c = value
        highest_c = value if highest_c is None else max(highest_c, value)
    return highest_c, None


def _reached_s(columns: Columns, core: str, on_s: float, pull_c: float | None) -> float | None:
    """When the core first was at its pull temperature."""
    if pull_c is None:
        return None
    first = bisect_left(columns["at_s"], on_s)
    pairs = zip(columns["at_s"][first:], columns[core][first:], strict=True)
    return next((at_s for at_s, value in pairs if value is not None and value >= pull_c), None)


def _peak_c(columns: Columns, core: str, pulled_s: float, pulled_c: float) -> tuple[float | None, float]:
    """Highest core after the pull while the probe is taken to be in the piece, and until when that is."""
    part = between(columns, pulled_s, pulled_s + REST_S)
    peak_c = before_c = pulled_c
    last_s = pulled_s
    for at_s, value in zip(part["at_s"], part[core], strict=True):
        if value is None:
            continue
        if abs(value - before_c) > PROBE_MOVED_C or value > pulled_c + MOST_CARRY_OVER_C:
            break
        before_c, last_s = value, at_s
        peak_c = max(peak_c, value)
    return (peak_c if last_s - pulled_s >= REST_LEAST_S else None), last_s
