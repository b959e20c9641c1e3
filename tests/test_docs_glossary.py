"""The glossary: every word of it is used, none is explained twice, and they stand in order."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

DOCS = Path(__file__).parents[1] / "docs"
GLOSSARY = DOCS / "reference" / "glossary.md"
ENTRIES = re.findall(r"^## (.+)\n(.+)$", GLOSSARY.read_text(encoding="utf-8"), re.MULTILINE)
WORDS = [word for word, _ in ENTRIES]
MADE = ("proof.md", "glossary.md")
PAGES = {
    page: page.read_text(encoding="utf-8")
    for folder in (DOCS, DOCS.parent / "hardware")
    for page in folder.rglob("*.md")
    if page.name not in MADE
}
PAIRS = re.findall(r"^\| ([a-z][^|]*?) \|", PAGES[DOCS / "reference" / "words.md"], re.MULTILINE)


@pytest.mark.parametrize("word", WORDS)
def test_a_word_is_used_on_another_page(word: str) -> None:
    pattern = re.compile(rf"\b{re.escape(word)}(?:s|d|ed|ing|es)?\b", re.IGNORECASE)
    assert any(pattern.search(text) for text in PAGES.values())


def test_no_word_is_explained_twice_here_or_among_the_words_of_the_page() -> None:
    of_the_page = {one.strip() for row in PAIRS for one in row.split(",")}
    assert {"cooker", "board", "trip"} <= of_the_page
    assert sorted(set(WORDS), key=str.lower) == WORDS
    assert of_the_page & set(WORDS) == set()


def test_a_meaning_is_one_or_two_short_sentences() -> None:
    assert [word for word, meaning in ENTRIES if len(meaning.split()) > 30 or not meaning.endswith(".")] == []
    assert GLOSSARY.read_text(encoding="utf-8").count("\n## ") == len(ENTRIES) >= 40
