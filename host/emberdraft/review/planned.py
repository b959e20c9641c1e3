"""The plan that a cook began with, as its tables: what is compared with what happened."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from typing import Any

from emberdraft.errors import UserError
from emberdraft.review.columns import Row

Tables = dict[str, Any]


def first_plan(record: Any, cook_id: int) -> Tables:
    """The tables of the plan the cook began with; empty for a cook without one."""
    cook: Row | None = record.cook(cook_id)
    kept = record.plan(cook["plan_id"]) if cook and cook["plan_id"] is not None else None
    try:
        return tomllib.loads(kept["text"]) if kept else {}
    except ValueError:
        raise UserError(f"cook {cook_id}: the plan it began with cannot be read as TOML") from None


def plan_or_nothing(record: Any, cook_id: int) -> Tables:
    """The same; empty where it cannot be read: a question beside the plan is answered all the same."""
    try:
        return first_plan(record, cook_id)
    except UserError:
        return {}


def told(table: Mapping[str, Any], key: str, read: Callable[[object], float], usual: float) -> float:
    """A value of a plan's table, or what holds when it says none that can be read."""
    try:
        return usual if table.get(key) is None else read(table[key])
    except UserError:
        return usual
