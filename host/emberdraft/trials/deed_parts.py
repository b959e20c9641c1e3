"""What the deeds of trials and tastings share."""

from __future__ import annotations

from typing import Any

import msgspec

from emberdraft.errors import UserError
from emberdraft.trials.answer import whole

Row = dict[str, Any]
LONGEST_WORDS = 500


class Deed(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """Fields of a deed."""


def open_trial(store: Any, trial_id: int) -> Row:
    """A trial that has not ended."""
    trial = whole(store, trial_id)
    if trial["end_s"] is not None:
        raise UserError(f"trial {trial_id}: it has ended; `again` makes the next round")
    return trial


def of_trial(trial: Row, name: str) -> Row:
    """A piece by its name."""
    for piece in trial["pieces"]:
        if piece["name"] == name:
            return dict(piece)
    raise UserError(f"piece {name!r}: one of {', '.join(p['name'] for p in trial['pieces'])} would be right")


def plain_words(text: str, what: str) -> str:
    """A name or a question in one line of words."""
    kept = " ".join(text.split())
    if not kept or len(kept) > 200:
        raise UserError(f"{what} {text[:40]!r}: 1 to 200 characters would be right")
    return kept
