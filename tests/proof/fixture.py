"""What a check marked `prove` writes its figures down with."""

from __future__ import annotations

import json
import uuid
from pathlib import Path
from typing import Any

import pytest

from tests.proof.bounds import bound
from tests.proof.record import MISSES, Miss, load


class MissedError(AssertionError):
    """A promise is not kept and nobody has signed for it."""


class Proof:
    """The figures of one check. A promise is judged by the bound that is written down with it: there is no other."""

    def __init__(self, section: str, folder: Path | None, misses: list[dict[str, Any]]) -> None:
        self.section, self.folder, self.misses = section, folder, misses
        self.unsigned: list[Miss] = []

    def promise(
        self, name: str, value: Any, *, at_least: Any = None, at_most: Any = None, equals: Any = None,
        note: str = "", tries: tuple[float, ...] = (),
    ) -> None:  # fmt: skip
        """One figure and its bound. `note` stands beside the value; `tries`: every try of a best-of, in order."""
        held_to = bound(at_least, at_most, equals)
        self._write("figure", name=name, value=value, bound=held_to._asdict(), note=note, tries=list(tries))
        miss = Miss(self.section, name, held_to, value)
        if not held_to.met(value) and not miss.signed(self.misses):
            self.unsigned.append(miss)

    def record(self, name: str, value: Any, *, note: str = "", tries: tuple[float, ...] = ()) -> None:
        """One figure that nothing is asked of."""
        self._write("figure", name=name, value=value, bound=None, note=note, tries=list(tries))

    def close(self) -> None:
        """The end of the check: every figure is written by now, so a first miss hides no second."""
        if self.unsigned:
            rows = [f"{miss.figure}: {miss.value}, promised {miss.bound}" for miss in self.unsigned]
            raise MissedError("missed and not signed: " + "; ".join(rows))

    def passed(self, check: str) -> None:
        """The check ran to its end, whatever it measured."""
        self._write("passed", check=check)

    def _write(self, kind: str, **row: Any) -> None:
        if self.folder:
            text = json.dumps({"kind": kind, "section": self.section, **row})
            (self.folder / f"{uuid.uuid4().hex}.json").write_text(text, encoding="utf-8")


def section_of(item: pytest.Item) -> tuple[str, list[str]] | None:
    """Section and `proves` of a check marked prove; None for any other."""
    marks = list(item.iter_markers("prove"))
    if not marks:
        return None
    if not marks[0].args:
        raise pytest.UsageError(f"{item.nodeid}: prove needs the name of a section: @pytest.mark.prove('store')")
    return marks[0].args[0], [start for mark in marks for start in mark.kwargs.get("proves", ())]


def proof_of(item: pytest.Item, folder: str | None) -> Proof:
    """The figures of this check; a check that is not marked holds its promises and writes nothing."""
    section = section_of(item)
    return Proof(section[0] if section else "", Path(folder) if folder and section else None, load(MISSES))
