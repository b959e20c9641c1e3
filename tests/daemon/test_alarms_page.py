"""docs/reference/alarms.md says what the code does: every text, every state and event."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from emberdraft.daemon.alarm_texts import TEXTS
from emberdraft.daemon.alarms import EVENTS, STATES, TABLE
from emberdraft.daemon.liveness import REAL_HICCUP_S, SILENT_AFTER_S
from emberdraft.daemon.way_out import DEADLINE_S
from tests.calls_page import alarm_words

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "reference" / "alarms.md").read_text(encoding="utf-8")
SCRIPTS = ROOT / "host" / "emberdraft" / "web" / "static" / "js"


@pytest.mark.parametrize("alert", TEXTS)
def test_the_page_has_the_words_of_each_alarm(alert):
    assert "| `{}` | {} | {} | {} |".format(alert, *alarm_words(alert)) in PAGE


@pytest.mark.parametrize("state", STATES)
def test_the_page_has_the_table_of_states(state):
    assert f"| {state} | {' | '.join(TABLE[(state, event)] for event in EVENTS)} |" in PAGE


def dead_parts() -> list[list[str]]:
    part = PAGE.split("## When a part is dead")[1].split("##")[0]
    return [
        [cell.strip() for cell in line.strip("|").split("|")] for line in part.splitlines() if line.startswith("|")
    ][2:]


def in_script(name: str, constant: str) -> float:
    return float(re.search(rf"^const {constant} = (\d+);", (SCRIPTS / name).read_text(), re.MULTILINE).group(1))


def test_a_dead_part_shows_within_the_times_that_the_code_has():
    said = [row[2] for row in dead_parts()]
    page_s, host_s = in_script("now.js", "OLD_BOARD_S"), in_script("now.js", "SILENT_MS") / 1000.0
    assert said == [f"{s:.0f} s" for s in (page_s, SILENT_AFTER_S, host_s, DEADLINE_S)] + [""]
    assert f"{REAL_HICCUP_S:.0f} s of real time in the place of the {SILENT_AFTER_S:.0f} s" in PAGE


def test_each_dead_part_has_a_test_that_exists():
    for row in dead_parts():
        path, _, name = row[3].strip("`").partition("::")
        assert f"def {name}(" in (ROOT / path).read_text(encoding="utf-8"), row


def test_the_tones_are_as_the_page_says():
    text = (SCRIPTS / "sound.js").read_text()
    rows = re.findall(r"(trip|pause|notice): \[(\d), \d+, (\d+)\]", text)
    words = {"1": "one", "2": "two", "3": "three short ones"}
    for kind, count, every_ms in rows:
        assert f"{words[count]} every {int(every_ms) // 1000} s for a {kind}" in PAGE.replace("\n", " ")
    assert len(rows) == 3
    assert f"Quiet {in_script('sound.js', 'QUIET_MS') / 60000:.0f} min" in PAGE
