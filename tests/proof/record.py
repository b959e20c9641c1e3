"""The record of what was measured, and the two short lists that somebody signs: misses, and sections not yet renewed.

A section: `tests` (their files), `proves` (what those name beside their imports), `digest`, `commit`, `date` (of the
code it ran on), `cpu_min`, `passed` (how many checks), `failed` (those that broke down), `failed_before` (the same, at
earlier runs of the same code) and `figures`: {name: {value, bound, note, tries}}.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, NamedTuple

from tests.proof.bounds import Bound
from tests.proof.closure import ROOT, digest

DOCS = ROOT / "docs" / "reference"
RECORD, PAGE, README = DOCS / "proof.json", DOCS / "proof.md", ROOT / "README.md"
MISSES, STALE = DOCS / "misses.json", DOCS / "stale.json"
ROUNDED = 1.01  # a signed miss may be rounded; one that is worse by more than this is another miss

Section = dict[str, Any]


def load(path: Path) -> Any:
    """A file of the record; an empty one where there is none."""
    if not path.exists():
        return {} if path == RECORD else []
    return json.loads(path.read_text(encoding="utf-8"))


def save(path: Path, content: Any) -> None:
    """Written whole or not at all: a run that is stopped leaves the last record."""
    part = path.with_suffix(".part")
    part.write_text(json.dumps(content, indent=1, sort_keys=True) + "\n", encoding="utf-8")
    part.replace(path)


class Miss(NamedTuple):
    """A promise that is not kept."""

    section: str
    figure: str
    bound: Bound
    value: Any

    def signed(self, misses: list[dict[str, Any]]) -> dict[str, Any] | None:
        """Who measures worse than was signed, or is held to another bound, has no signature."""
        own = (self.section, self.figure, str(self.bound))
        signed = (row for row in misses if (row["section"], row["figure"], row["bound"]) == own)
        short_by = self.bound.short_by(self.value)
        return next((row for row in signed if short_by <= ROUNDED * self.bound.short_by(row["measured"])), None)


def figure_bound(figure: dict[str, Any]) -> Bound | None:
    """The bound of a promise; None: a record, which nothing is asked of."""
    return Bound(**figure["bound"]) if figure["bound"] else None


def missed(record: dict[str, Section]) -> list[Miss]:
    """All promises that are not kept, by section and name."""
    rows = []
    for section, name in ((s, n) for s in sorted(record) for n in sorted(record[s]["figures"])):
        figure = record[section]["figures"][name]
        held_to = figure_bound(figure)
        if held_to is not None and not held_to.met(figure["value"]):
            rows.append(Miss(section, name, held_to, figure["value"]))
    return rows


def is_current(section: Section) -> bool:
    """Proved on the code as it stands, with every check of it run to its end."""
    return not section["failed"] and section["digest"] == digest(section["tests"] + section["proves"])


def counts(record: dict[str, Section], stale: list[dict[str, Any]]) -> str:
    """The one line that README and page begin with."""
    figures = [figure for section in record.values() for figure in section["figures"].values()]
    promises = sum(figure["bound"] is not None for figure in figures)
    kept = promises - len(missed(record))
    sections = {*record, *(row["section"] for row in stale)}
    return (
        f"{kept} of {promises} promises are met, {promises - kept} are missed; "
        f"{len(stale)} of {len(sections)} sections were proved on earlier code and not since."
    )


def readme_with(line: str, text: str) -> str:
    """The README with this count in the place of the old one."""
    return re.sub(r"\d+ of \d+ promises are met, [^\n]*? and not since\.", line, text)
