"""docs/reference/errors.md has every word of the code, and no other."""

from __future__ import annotations

import re
from pathlib import Path

from emberboard.core.words import FAULTS
from emberboard.link.messages import REFUSALS
from emberdraft.daemon.dispatch import NO_REPLY

PAGE = (Path(__file__).parents[1] / "docs" / "reference" / "errors.md").read_text(encoding="utf-8")


def _words(title: str) -> list[str]:
    return re.findall(r"^\| `(\w+)` \| .+ \| .+ \|$", PAGE.split(f"## {title}\n")[1].split("\n## ")[0], re.MULTILINE)


def test_every_fault_of_a_probe_is_there() -> None:
    assert sorted(_words("Probe faults")) == sorted(word for word in FAULTS if word)


def test_every_refusal_of_an_order_is_there() -> None:
    assert _words("Refused orders") == [*REFUSALS, NO_REPLY]
