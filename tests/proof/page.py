"""The record as a page for people: what is missed, broken or old first, then every section."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tests.proof.record import Section, counts, figure_bound, missed

HEAD = """\
# Proof

Written by `make prove`; simulated cookers only: no real fire has been burned with this code. A *promise* has a bound and is
met or missed; a *record* has none. A section stands for the code of its date and commit: its tests, what they import, and
what they name beside that. Any change of these makes `make test` fail until the section is renewed or listed here as old.
"""  # noqa: E501


def page_text(record: dict[str, Section], misses: list[dict[str, Any]], stale: list[dict[str, Any]]) -> str:
    """The whole page."""
    parts = [HEAD, counts(record, stale), *_missed(record, misses), *_stale(stale), *_failed(record)]
    for name in sorted(record):
        parts += _section(name, record[name])
    return "\n".join(parts)


def _missed(record: dict[str, Section], misses: list[dict[str, Any]]) -> Iterator[str]:
    yield from ("", "## Missed", "", "| section | figure | bound | measured | why | since |", "| --- " * 6 + "|")
    for miss in missed(record):
        entry = miss.signed(misses) or {"why": "**not signed**", "since": ""}
        yield _row(miss.section, miss.figure, miss.bound, _value(miss.value), entry["why"], entry["since"])


def _stale(stale: list[dict[str, Any]]) -> Iterator[str]:
    yield from ("", "## Proved on earlier code, not since", "", "| section | proved on | why not renewed |")
    yield "| --- " * 3 + "|"
    for entry in stale:
        yield _row(entry["section"], entry["since"], entry["why"])


def _failed(record: dict[str, Section]) -> Iterator[str]:
    if any(section["failed"] for section in record.values()):
        yield from ("", "## Failed", "", "| section | on | what broke down |", "| --- " * 3 + "|")
    for name in sorted(record):
        for failure in record[name]["failed"]:
            yield _row(name, f"{record[name]['date']}, commit {record[name]['commit']}", failure)


def _section(name: str, section: Section) -> Iterator[str]:
    starts = ", ".join(f"`{start}`" for start in section["tests"] + section["proves"])
    yield from ("", f"## {name}", "")
    yield f"{section['date']}, commit {section['commit']}, {section['passed']} checks; begins at {starts}."
    if section["figures"]:
        yield from ("", "| figure | measured | bound | |", "| --- " * 4 + "|")
    for key in sorted(section["figures"]):
        figure = section["figures"][key]
        held_to = figure_bound(figure)
        verdict = "" if held_to is None else "met" if held_to.met(figure["value"]) else "**missed**"
        yield _row(key, _measured(figure), "record" if held_to is None else held_to, verdict)


def _measured(figure: dict[str, Any]) -> str:
    beside = [figure["note"]] if figure["note"] else []
    if figure["tries"]:
        beside.append("tries: " + ", ".join(map(_value, figure["tries"])))
    return _value(figure["value"]) + (f" ({'; '.join(beside)})" if beside else "")


def _value(value: Any) -> str:
    return "never" if value is None else f"{value:.4g}" if isinstance(value, float) else str(value)


def _row(*cells: Any) -> str:
    return "| " + " | ".join(str(cell).replace("|", "/") for cell in cells) + " |"
