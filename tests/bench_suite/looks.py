"""Who has looked at which stranger: a ledger, because a cooker that was looked at is strange no more.

Control is judged on three sets. *Training*: constants may be chosen by its figures. *Validation*: equations of its own,
run to judge a version, never to choose a constant. *Strangers*: cookers whose figures nobody has seen. The first look at
one is its verdict on the controller as it then stood; whatever is mended after it is no stranger's merit any more. A kind
that was looked at twice is training. `ledger.json` has each look: kind, date, commit, reason.
"""  # noqa: E501

from __future__ import annotations

import datetime
import json
from collections.abc import Iterable
from pathlib import Path

from tests.proof.run import commit, refuse_dirty

LEDGER = Path(__file__).with_name("ledger.json")
RETIRES_AT = 2
Look = dict[str, str]


def looks(kind: str) -> list[Look]:
    """The looks at one kind, the first first."""
    every: list[Look] = json.loads(LEDGER.read_text(encoding="utf-8"))
    return [look for look in every if look["kind"] == kind]


def standing(kind: str) -> str:
    """What a kind may be used for now: 'stranger' (not looked at), 'judged' (once: its verdict stands), 'training'."""
    seen = len(looks(kind))
    return "training" if seen >= RETIRES_AT else "judged" if seen else "stranger"


def look_at(kinds: Iterable[str], reason: str) -> None:
    """Write a look down before it is taken; one at a kind that is training already need not be."""
    fresh = [kind for kind in kinds if standing(kind) != "training"]
    if not fresh:
        return
    if len(reason.split()) < 3:
        raise SystemExit(f"{', '.join(fresh)}: not looked at yet or once; a look is written down: --why 'a sentence'")
    refuse_dirty()
    head, today = commit(), datetime.date.today().isoformat()
    every = json.loads(LEDGER.read_text(encoding="utf-8"))
    every += [{"kind": kind, "date": today, "commit": head, "reason": reason} for kind in fresh]
    LEDGER.write_text(json.dumps(every, indent=1) + "\n", encoding="utf-8")
