"""What a cook knows, as a form; read from a plan. The file stays the truth: quantities are its own words ("5.5 lb")."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

import msgspec

from emberdraft import quantities
from emberdraft.daemon import food_words
from emberdraft.daemon.plan import Plan
from emberdraft.daemon.plan_check import COLD_C
from emberdraft.daemon.plan_form import Animal, Cut, FoodKind, Piece, Seconds
from emberdraft.errors import UserError
from emberdraft.evening.cuts import cut_of
from emberdraft.food.advised import advised
from emberdraft.food.planned import planned

Row = dict[str, Any]


class PieceForm(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """Pieces that are alike. `letters`: those that the plan has; `done`: the core as it is eaten; '' is not said."""

    letters: list[str] = []
    count: int = 1
    animal: Animal = "pork"
    kind: FoodKind = "whole"
    cut: Cut = "chop"
    mass: str = ""
    thickness: str = ""
    cold: bool = True
    done: str = ""
    rest: str = ""
    wrap: str = ""


class CookForm(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """A cook. `hold`: how long where nothing is cooked, '' until the person says; `stone`: '' is no sear."""

    name: str
    pit: str
    hold: str = ""
    stone: str = ""
    blower: bool = True
    charcoal: str = ""
    probes: int = 2
    grate: str = ""
    serve: str = ""
    pieces: list[PieceForm] = []


def form_of(plan: Plan) -> CookForm:
    """The form of a plan. What it does not ask stays in the file alone."""
    raw = tomllib.loads(plan.text)
    slow, light = raw.get("slow", {}), raw["light"]
    return CookForm(
        name=plan.name,
        pit=slow.get("target", light["target"]),
        hold=slow.get("for", ""),
        stone=raw.get("climb", {}).get("stone", "") if plan.sear else "",
        blower=plan.blower,
        charcoal=light.get("charcoal", ""),
        probes=max([2, *(piece.probe + 1 for piece in plan.pieces if piece.probe is not None)]),
        grate=raw.get("grate", ""),
        serve=plan.serve,
        pieces=list(_groups(_piece(*both) for both in zip(plan.pieces, raw.get("piece", []), strict=True))),
    )


def _piece(piece: Piece, raw: Row) -> PieceForm:
    cut = cut_of(piece.cut, piece.thickness_m, piece.mass_kg, piece.pull_c)
    words = {key: raw.get(key, "") for key in ("mass", "thickness", "wrap")}
    rest = raw.get("rest", f"{piece.rest_s / 60.0:g} min")
    return PieceForm(
        letters=[piece.letter],
        animal=piece.animal,
        kind=piece.kind,
        cut=msgspec.convert(cut, Cut),
        cold=piece.start_c <= COLD_C,
        done=raw["final"],
        rest=rest,
        **words,
    )


def _groups(pieces: Iterable[PieceForm]) -> Iterator[PieceForm]:
    """Neighbours that are alike in all but their letter, as one."""
    for _, alike in groupby(pieces, lambda piece: msgspec.structs.replace(piece, letters=[])):
        found = list(alike)
        letters = [letter for piece in found for letter in piece.letters]
        yield msgspec.structs.replace(found[0], letters=letters, count=len(letters))


def values_of(form: CookForm) -> Row:
    """The quantities of a form in degC, kg, m and s, for a page that has its own unit; None: cannot be read."""
    kinds = {"pit": "c", "hold": "s", "stone": "c", "charcoal": "kg", "grate": "m"}
    of_piece = {"mass": "kg", "thickness": "m", "done": "c", "rest": "s", "wrap": "c"}
    found: Row = {key: _value(getattr(form, key), kind) for key, kind in kinds.items()}
    pieces = [{key: _value(getattr(piece, key), kind) for key, kind in of_piece.items()} for piece in form.pieces]
    return found | {"pieces": pieces}


READ = {
    "c": quantities.temperature_c,
    "s": quantities.duration_s,
    "kg": quantities.mass_kg,
    "m": quantities.length_m,
}


def _value(text: str, kind: str) -> float | None:
    try:
        return READ[kind](text)
    except UserError:
        return None


def told_of(plan: Plan) -> list[Row]:
    """Of each piece: where it is pulled, what the rest adds (8 times in 10), and whether that is below the USDA's."""
    return [_told(plan, piece, float(plan.slow.target_c)) for piece in plan.pieces if plan.slow is not None]


def _told(plan: Plan, piece: Piece, pit_c: float) -> Row:
    size = tuple(None if value is None else float(value) for value in (piece.thickness_m, piece.mass_kg))
    peak_c = planned(float(piece.pull_c), float(piece.start_c), pit_c, *size).peak_c
    return {
        "letter": piece.letter,
        "name": piece.name,
        "pull_c": float(piece.pull_c),
        "peak_c": list(peak_c),
        "below": food_words.below(plan, piece),
    }


def advice_of(form: CookForm) -> list[Row]:
    """What the USDA advises for the pieces of each line, also of a form that makes no plan yet."""
    rows = []
    for piece in form.pieces:
        advice, done_c, rest_s = advised(piece.animal, piece.kind), _value(piece.done, "c"), _value(piece.rest, "s")
        short = not form.stone and rest_s is not None and rest_s < Seconds(advice.rest_s)
        below = done_c is not None and not advice.reached(done_c)
        rows.append({"core_c": advice.core_c, "rest_s": advice.rest_s, "below": below, "short_rest": short})
    return rows
