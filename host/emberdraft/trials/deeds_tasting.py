"""Deeds of a tasting: begun, answered, closed. Nobody sees a result, or what a code hides, before it is closed."""

from __future__ import annotations

import secrets
from typing import Any

import msgspec

from emberdraft.errors import UserError
from emberdraft.trials import panel
from emberdraft.trials.answer import shown_tasting, whole
from emberdraft.trials.deed_parts import Deed, open_trial

Row = dict[str, Any]


class Taste(Deed):
    """A blind tasting of two treatments; without names the first two."""

    trial: int
    method: str
    answers: int
    treatments: list[str] = msgspec.field(default_factory=list)
    quality: str = ""
    cook: int | None = None


class Answer(Deed):
    """A taster's answer: the code that was chosen."""

    tasting: int
    code: str
    taster: str = ""


class Close(Deed):
    """The end of a tasting: from now on its codes may be read."""

    tasting: int


def taste(store: Any, body: Taste, now_s: float) -> Row:
    """Lay a tasting out: orders and codes from a seed drawn now."""
    trial = open_trial(store, body.trial)
    if trial["assigned_s"] is None:
        raise UserError(f"trial {body.trial}: chance has not said who gets what; assign before anybody tastes")
    known = {t["name"]: t["id"] for t in trial["treatments"]}
    names = body.treatments or list(known)[:2]
    if len(names) != 2 or len(set(names)) != 2 or not set(names) <= set(known):
        raise UserError(f"treatments {', '.join(names)}: two of {', '.join(known)} would be right")
    if body.method == "difference" and not body.quality.strip():
        raise UserError("quality: empty; what the tasters are asked for would be right, such as juicier")
    if body.cook is not None and store.cook(body.cook) is None:
        raise UserError(f"cook {body.cook}: there is none of that number; `emberdraft cooks` lists them")
    seed = secrets.randbits(31)
    served = panel.servings(body.method, body.answers, seed)
    values = {
        **{"trial_id": body.trial, "method": body.method, "quality": body.quality.strip()[:60], "seed": seed},
        **{"a_id": known[names[0]], "b_id": known[names[1]], "cook_id": body.cook, "start_s": now_s},
    }
    return {"trial": body.trial, "tasting": store.trials.add_tasting(values, served)}


def tasting_of(store: Any, tasting_id: int) -> Row:
    """A tasting. Raises UserError when there is none of that number."""
    row: Row | None = store.trials.tasting(tasting_id)
    if row is None:
        raise UserError(f"tasting {tasting_id}: there is none of that number; `emberdraft trial show` lists them")
    return row


def answer(store: Any, body: Answer, now_s: float) -> Row:
    """Keep an answer; what the next taster sees."""
    row = tasting_of(store, body.tasting)
    serving_id, values = panel.answered(row, body.code.strip(), body.taster.strip()[:60], now_s)
    store.trials.answer(serving_id, values)
    return panel.seen_by_taster(tasting_of(store, body.tasting))


def close(store: Any, body: Close, now_s: float) -> Row:
    """Close a tasting; it with its codes."""
    row = tasting_of(store, body.tasting)
    if row["end_s"] is not None:
        raise UserError(f"tasting {body.tasting}: it is closed already")
    store.trials.change("tasting", body.tasting, end_s=now_s)
    trial = whole(store, row["trial_id"])
    names = {t["id"]: t["name"] for t in trial["treatments"]}
    return shown_tasting(tasting_of(store, body.tasting), names)
