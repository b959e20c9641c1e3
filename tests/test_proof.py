"""A proof that is older than the code it proves is no proof."""

from __future__ import annotations

import json

import pytest

from tests.prove import PAGE, RECORD, collect, digest, page_text

SECTIONS = json.loads(RECORD.read_text(encoding="utf-8")) if RECORD.exists() else {}


@pytest.mark.parametrize("name", sorted(SECTIONS))
def test_the_proof_is_of_this_code(name: str) -> None:
    section = SECTIONS[name]
    assert section["digest"] == digest(section["covers"]), f"{section['covers']} changed since: run `make prove`"


def test_the_page_says_what_the_record_says() -> None:
    if SECTIONS:
        assert PAGE.read_text(encoding="utf-8") == page_text(SECTIONS)


def test_a_changed_file_changes_the_digest(tmp_path, monkeypatch) -> None:
    monkeypatch.setattr("tests.prove.ROOT", tmp_path)
    code = tmp_path / "a" / "b.py"
    code.parent.mkdir()
    code.write_text("x = 1\n")
    before = digest(["a"])
    code.write_text("x = 2\n")
    assert digest(["a"]) != before


def test_figures_are_gathered_by_section(tmp_path) -> None:
    row = {"section": "s", "name": "n", "value": 3, "wanted": "at most 4", "covers": ["a"]}
    (tmp_path / "one.json").write_text(json.dumps(row))
    assert collect(tmp_path)["s"]["figures"] == {"n": {"value": 3, "wanted": "at most 4"}}
