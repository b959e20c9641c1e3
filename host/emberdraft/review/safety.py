"""What the published tables say of each piece's core curve: figures with their source, never a verdict on food.

The curve runs from going on to the end of the rest: until its probe stops telling of it, or the piece is laid on the
stone. Afterwards a bead near a hot face says nothing of the middle.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from typing import Any, Protocol

from emberdraft.food.lethality import conditions
from emberdraft.food.safety_rows import HOT_AIR_C, RISE_LONGEST_S, ZONE_HOT_LONGEST_S, safety_rows
from emberdraft.quantities import say_duration, say_number
from emberdraft.review.columns import Columns, Row, between
from emberdraft.review.pieces import piece_figures
from emberdraft.review.sear import sides
from emberdraft.said import Temperature, Text, said

CORES = ("core1_c", "core2_c", "core3_c", "core4_c")
DEFER = "Figures beside a curve, not a verdict on food: local food codes come first."


class SafetyRecord(Protocol):
    """What these rows need of the store."""

    def pieces(self, cook_id: int) -> list[Row]: ...
    def marks(self, cook_id: int) -> list[Row]: ...
    def plan(self, plan_id: int) -> Row | None: ...
    def readings(
        self, cook_id: int, start_s: float | None = None, end_s: float | None = None, names: Sequence[str] = ()
    ) -> Columns: ...


def safety_of(record: SafetyRecord, cook: Row) -> list[Row]:
    """The rows of every piece of a cook, of one that is going on too; see docs/reference/figures.md."""
    columns, marks = record.readings(cook["id"], names=("at_s", "stone_c", *CORES)), record.marks(cook["id"])
    kinds = kinds_of(record.plan(cook["plan_id"]) if cook["plan_id"] is not None else None)
    rows = []
    for piece in record.pieces(cook["id"]):
        figures = piece_figures(columns, piece) | {"sides": sides(columns, marks, piece["letter"])}
        named = {"letter": piece["letter"], "name": piece["name"]}
        rows.append(named | {"safety": piece_safety(columns, figures, kinds)})
    return rows


def kinds_of(plan: Row | None) -> dict[str, tuple[str, str]]:
    """Kind and animal of each letter, from the text of the plan the cook began with."""
    try:
        pieces: list[dict[str, Any]] = tomllib.loads(plan["text"]).get("piece", []) if plan else []
    except ValueError:
        pieces = []
    return {str(p.get("letter")): (str(p.get("kind", "whole")), str(p.get("animal", "other"))) for p in pieces}


def piece_safety(columns: Columns, figures: Row, kinds: dict[str, tuple[str, str]]) -> Row:
    """The rows of one piece; `figures` are those of review/pieces.py with its sides on the stone."""
    kind, animal = kinds.get(figures["letter"], ("whole", "other"))
    left_heat_c = None if figures["sides"] else figures["pulled_c"]
    rows = safety_rows(_curve(columns, figures), kind, animal, left_heat_c)
    return {
        "kind": kind,
        "animal": animal,
        "usda_c": rows.usda_c,
        "usda_rest_s": rows.usda_rest_s,
        "highest_c": rows.highest_c,
        "at_or_over_usda_s": rows.at_or_over_usda_s,
        "table": rows.title,
        "table_scope": rows.scope,
        "table_6p5_log_share": rows.share_6p5,
        "table_7_log_share": rows.share_7,
        "danger_zone_s": rows.danger_zone_s,
        "danger_zone_longest_s": rows.danger_zone_longest_s,
        "note": rows.note,
        "left_heat_c": left_heat_c,
        "below_usda": rows.below,
    }


def _curve(columns: Columns, figures: Row) -> list[tuple[float, float | None]]:
    core = None if figures["probe"] is None else f"core{figures['probe'] + 1}_c"
    if core not in columns or figures["on_s"] is None:
        return []
    ends = [figures["probe_out_s"], *(side["at_s"] for side in figures["sides"][:1])]
    part = between(columns, figures["on_s"], min((end for end in ends if end is not None), default=None))
    return list(zip(part["at_s"], part[core], strict=True))


def safety_words(piece: Row) -> Iterator[Text]:
    """The rows of one piece in sentences; `piece` has name, letter and `safety`."""
    rows = piece["safety"]
    if rows["highest_c"] is None:
        return
    rest = f" and {say_duration(rows['usda_rest_s'])} of rest" if rows["usda_rest_s"] else ""
    over_s = rows["at_or_over_usda_s"]
    held = f"at or over it for {say_duration(over_s)}" if over_s else "not reached"
    template = "{piece}: highest {highest}. USDA advises {usda} on leaving the heat{rest}: {held}."
    named, highest = f"{piece['letter']} {piece['name']}", _fine(rows["highest_c"])
    yield said(template, piece=named, highest=highest, usda=_fine(rows["usda_c"]), rest=rest, held=held)
    if rows["below_usda"]:
        yield said("It left the heat at {left}, below what USDA advises.", left=_fine(rows["left_heat_c"]))
    if rows["table_6p5_log_share"] is not None:
        yield f"{rows['table']}: {_times(rows['table_6p5_log_share'])}, 7-log {_times(rows['table_7_log_share'])}."
        yield said("Scope: {scope}; {counts_on}.", scope=rows["table_scope"], counts_on=conditions())
    yield f"{rows['note'][0].upper()}{rows['note'][1:]}."
    longest, hot = say_duration(rows["danger_zone_longest_s"]), say_duration(ZONE_HOT_LONGEST_S)
    span, rise = say_duration(rows["danger_zone_s"]), say_duration(RISE_LONGEST_S)
    template = f"Between {{low}} and {{high}} for {span}; at most {rise} while it cooks is common practice."
    yield said(template, low=Temperature(4.4), high=Temperature(60.0))
    template = f"Where it is not being cooked: at most {longest} in all, {hot} in air above {{air}} (USDA)."
    yield said(template, air=Temperature(HOT_AIR_C))


def _fine(value_c: float) -> Temperature:
    """To a tenth in both units: what is advised is a whole degree in degF, and what is below it must read as below."""
    return Temperature(value_c, 1, 1)


def _times(share: float) -> str:
    """'43 % of the table's time', '1.8 times the table's time'."""
    if share < 1.0:
        return f"{say_number(100.0 * share)}\u00a0% of the table's time"
    return f"{say_number(share, 1)} times the table's time" if share < 100.0 else "over 100 times the table's time"
