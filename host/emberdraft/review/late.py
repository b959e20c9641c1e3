"""Who was late for what, and what it cost: from the record alone, against the plan the cook began with.

Due is when the record shows that it was due: a core at its pull, a stone at its heat, a side that has had its time.
What the plan alone makes due (setting in, putting on, the climb) is due at its latest moment, so that nobody is blamed
for a wall that soaked longer.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from emberdraft import quantities
from emberdraft.quantities import say_duration
from emberdraft.review.columns import Row
from emberdraft.review.happened import clock
from emberdraft.review.planned import Tables, told
from emberdraft.said import Difference, Temperature, Text, joined, said

# Common practice, no source: what is not yet called late, away from the stone and at it.
LATE_S, AT_STONE_S = 300.0, 30.0
SOAK_LONGEST_S, SETTLE_S, REST_S, SIDE_S = 2400.0, 1500.0, 180.0, 75.0  # a plan's defaults


def late_of(figures: Row, plan: Tables) -> list[Row]:
    """Each with what, letters, due_s, done_s, late_s, at_latest (due by the plan alone), from_c and to_c."""
    phases: dict[str, Row] = {}
    for row in figures["phases"]:
        phases.setdefault(row["phase"], row)
    found = [
        *_set_in(phases, figures["marks"], plan),
        *_put_on(phases, figures["pieces"], plan),
        *_pulled(figures["pieces"]),
        *_climbed(phases, figures["pieces"], plan),
        *_seared(phases, figures["pieces"]),
        *_sides(figures["pieces"], plan),
    ]
    least_s = {"side": AT_STONE_S}
    late = [row for row in found if row["late_s"] >= least_s.get(row["what"], LATE_S)]
    return sorted(late, key=lambda row: float(row["due_s"]))


def _row(what: str, letters: str, due_s: float, done_s: float, *, at_latest: bool = False, **more: Any) -> Row:
    row = {"what": what, "letters": letters, "due_s": due_s, "done_s": done_s, "late_s": done_s - due_s}
    return {**row, "at_latest": at_latest, "from_c": None, "to_c": None, **more}


def _set_in(phases: dict[str, Row], marks: list[Row], plan: Tables) -> Iterator[Row]:
    done = [mark["at_s"] for mark in marks if mark["kind"] == "set_up"]
    if "soak" in phases and "set_up" in plan and done:
        longest_s = told(plan.get("soak", {}), "longest", quantities.duration_s, SOAK_LONGEST_S)
        yield _row("set_in", "", phases["soak"]["start_s"] + longest_s, done[0], at_latest=True)


def _put_on(phases: dict[str, Row], pieces: list[Row], plan: Tables) -> Iterator[Row]:
    tables = {table.get("letter"): table for table in plan.get("piece", [])}
    settle_s = told(plan["set_up"], "settle", quantities.duration_s, SETTLE_S) if "set_up" in plan else 0.0
    for piece in pieces:
        if "slow" in phases and piece["on_s"] is not None and piece["letter"] in tables:
            after_s = told(tables[piece["letter"]], "on_after", quantities.duration_s, 0.0)
            due_s = phases["slow"]["start_s"] + settle_s + after_s
            yield _row("put_on", piece["letter"], due_s, piece["on_s"], at_latest=True)


def _pulled(pieces: list[Row]) -> Iterator[Row]:
    for piece in pieces:
        if piece["waited_s"] is not None and piece["pulled_c"] is not None:
            due_s, heat = piece["pulled_s"] - piece["waited_s"], {"from_c": piece["pull_c"], "to_c": piece["pulled_c"]}
            yield _row("pull", piece["letter"], due_s, piece["pulled_s"], **heat)


def _climbed(phases: dict[str, Row], pieces: list[Row], plan: Tables) -> Iterator[Row]:
    """After the last piece has rested; where nothing is known of a rest, the plan's own default."""
    tables = {table.get("letter"): table for table in plan.get("piece", [])}
    ends = [
        piece["pulled_s"] + told(tables.get(piece["letter"], {}), "rest", quantities.duration_s, REST_S)
        for piece in pieces
        if piece["pulled_s"] is not None
    ]
    if "climb" in phases and ends:
        yield _row("climb", "", max(ends), phases["climb"]["start_s"], at_latest=True)


def _seared(phases: dict[str, Row], pieces: list[Row]) -> Iterator[Row]:
    climb, sear = phases.get("climb"), phases.get("sear")
    if climb is None or sear is None or climb["time_to_target_s"] is None:
        return
    first = first_side(pieces)
    done_s = sear["start_s"] if first is None else first["at_s"]
    to_c = None if first is None else first["stone_c"]
    due_s = climb["start_s"] + climb["time_to_target_s"]
    yield _row("sear", "", due_s, done_s, from_c=climb["target_c"], to_c=to_c)


def first_side(pieces: list[Row]) -> Row | None:
    """The first side that lay on the stone."""
    return min((side for piece in pieces for side in piece["sides"]), key=lambda side: side["at_s"], default=None)


def _sides(pieces: list[Row], plan: Tables) -> Iterator[Row]:
    per_side_s = told(plan.get("sear", {}), "per_side", quantities.duration_s, SIDE_S)
    for piece in pieces:
        for side in piece["sides"]:
            if side["duration_s"] is not None:
                due_s = side["at_s"] + per_side_s
                yield _row("side", piece["letter"], due_s, side["at_s"] + side["duration_s"])


# ---- words


def late_words(row: Row) -> Text:
    """What was due and done, how late that was, and what it cost."""
    due = clock(row["due_s"])
    facts = {
        "letters": row["letters"],
        "by": f"at {due}{' at the latest' if row['at_latest'] else ''}",
        "done": clock(row["done_s"]),
        "late": say_duration(row["late_s"]),
        "heat": "" if row["from_c"] is None else Temperature(row["from_c"]),
    }
    return joined(" ", (said(_FIRST[row["what"]], **facts), _cost(row)))


_FIRST = {
    "set_in": "Setting in was due {by} and done at {done}, {late} late.",
    "put_on": "{letters} was to go on {by} and went on at {done}, {late} late.",
    "pull": "{letters} was at {heat} {by} and was pulled at {done}, {late} late.",
    "climb": "The climb was due {by} and began at {done}, {late} late.",
    "sear": "The stone was hot {by}, as {heat} was wanted, and the first piece lay on it at {done}, {late} later.",
    "side": "{letters} was to leave a side {by} and left it at {done}, {late} late.",
}


def _cost(row: Row) -> Text:
    from_c, to_c = row["from_c"], row["to_c"]
    if row["what"] == "side":
        return "That side had so much more."
    if from_c is None or to_c is None:
        return "All that followed was so much later."
    if row["what"] == "pull":
        return said("By then it was {over} over.", over=Difference(max(0.0, to_c - from_c)))
    way = "had fallen to" if to_c < from_c else "was at"
    return said("By then it {way} {to}.", way=way, to=Temperature(to_c))


def otherwise_words(late: list[Row]) -> list[str]:
    """What to do otherwise the next time, once for each kind of lateness."""
    return [_OTHERWISE[what] for what in dict.fromkeys(row["what"] for row in late)]


_OTHERWISE = {
    "set_in": "Lay the cold parts ready before the soak ends.",
    "put_on": "Have the food and its probes ready when the pit has settled.",
    "pull": "Be near before its time, or set its pull temperature lower; see on Before bed that your phone is reached.",
    "climb": "Open the vent and agree to the climb as the rest ends, or plan a longer rest.",
    "sear": "Agree to the climb only if you can be there when the stone is hot; come late, renew the climb first.",
    "side": "Stay at the cooker while a side is timed.",
}
