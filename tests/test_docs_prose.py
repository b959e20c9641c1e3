"""The pages that a cook and a builder need most are read at a grill: their sentences are short.

Bounds: on the average at most 15 words a sentence, and none of more than 40 (plain-language guides ask for 15 to 20 on
the average: UK Government, "Writing for GOV.UK", which says 25 is long; from memory). Tables and commands are no prose.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
NEEDED = (
    *("README.md", "docs/README.md", "hardware/README.md"),
    *(f"docs/tutorial/{name}.md" for name in ("first_simulated_cook", "first_real_cook")),
    *(
        f"docs/howto/{name}.md"
        for name in (
            *("trouble", "place_probes", "hot_stone", "vents", "install", "lan", "always_on", "back_up", "deploy"),
            *("calibrate", "compare_cooks", "change_gains", "several_cookers", "trial", "mosquitto", "other_tools"),
        )
    ),
    *(f"docs/explain/{name}.md" for name in ("page", "lid", "control", "staying_safe")),
)
MEAN_WORDS, MOST_WORDS = 15.0, 40


def sentences(page: str) -> list[str]:
    """Sentences of the running text: no tables, pictures, headings or blocks; a list's item ends a sentence."""
    text = re.sub(
        r"^ *```.*?^ *```$", "\n\n", (ROOT / page).read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL
    )
    text = re.sub(r"^(?:\||#|!\[|<!--).*$", "\n", text, flags=re.MULTILINE)
    text = re.sub(r"`[^`]*`", "code", re.sub(r"!?\[([^\]]*)\]\([^)]*\)", r"\1", text))
    parts = re.split(r"\n\s*\n|\n\s*(?:[-*]|\d+\.) ", text)
    found = [re.split(r"(?<=[.!?])[*)]*\s+(?=[*(]*[A-Z0-9c])", part.replace("\n", " ")) for part in parts]
    return [one.strip() for part in found for one in part if len(one.split()) > 2]


@pytest.mark.parametrize("page", NEEDED)
def test_sentences_are_short(page: str) -> None:
    lengths = [len(one.split()) for one in sentences(page)]
    long = [one for one in sentences(page) if len(one.split()) > MOST_WORDS]
    assert long == []
    assert sum(lengths) / len(lengths) <= MEAN_WORDS


def test_a_long_sentence_is_seen() -> None:
    assert max(len(one.split()) for one in sentences("docs/explain/safety.md")) > MOST_WORDS
    assert len(NEEDED) >= 20 and all((ROOT / page).exists() for page in NEEDED)
