"""The morning after: what happened otherwise than planned, who was late and what it cost, what to do the next time."""

from __future__ import annotations

from typing import Any

from emberdraft.errors import UserError
from emberdraft.review.again import again_of
from emberdraft.review.columns import Row
from emberdraft.review.figures import figures_of
from emberdraft.review.late import late_of, late_words, otherwise_words
from emberdraft.review.planned import plan_or_nothing


def morning_of(record: Any, cook_id: int) -> Row:
    """`differences` as lines, `late` as rows of late.py."""
    figures = figures_of(record, cook_id)
    return {"differences": _differences(record, cook_id), "late": late_of(figures, plan_or_nothing(record, cook_id))}


def _differences(record: Any, cook_id: int) -> list[str]:
    """None of a cook that never came so far, or without a plan: with nothing planned nothing differs."""
    if not plan_or_nothing(record, cook_id):
        return []
    try:
        return [one.text for one in again_of(record, cook_id).differences]
    except UserError:
        return []


def morning_words(row: Row) -> Row:
    """The same in sentences: `late`, `differences` and `otherwise`, each a list of lines."""
    late = [late_words(one) for one in row["late"]]
    return {"late": late, "differences": row["differences"], "otherwise": otherwise_words(row["late"])}
