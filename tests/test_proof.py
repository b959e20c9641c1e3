"""A proof that is older than the code it proves is no proof."""

from __future__ import annotations

import json

import pytest

from tests.prove import PAGE, RECORD, collect, digest, page_text, still_true

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


def test_a_section_covers_what_any_of_its_figures_needs(tmp_path) -> None:
    for name, covers in (("one", ["b", "a"]), ("two", ["c"])):
        row = {"section": "s", "name": name, "value": 3, "wanted": "", "covers": covers}
        (tmp_path / f"{name}.json").write_text(json.dumps(row))
    assert collect(tmp_path)["s"]["covers"] == ["a", "b", "c"]


def test_a_run_of_a_part_keeps_what_is_still_true(tmp_path, monkeypatch) -> None:
    monkeypatch.setattr("tests.prove.ROOT", tmp_path)
    (tmp_path / "a.py").write_text("x = 1\n")
    old = {"covers": ["a.py"], "digest": digest(["a.py"]), "figures": {"n": {"value": 3, "wanted": ""}}}
    assert still_true(old, {"covers": ["a.py"], "figures": {}}) == old["figures"]
    assert still_true(None, {"covers": ["a.py"], "figures": {}}) == {}
    assert still_true(old, {"covers": ["a.py", "b.py"], "figures": {}}) == {}
    (tmp_path / "a.py").write_text("x = 2\n")
    assert still_true(old, {"covers": ["a.py"], "figures": {}}) == {}
