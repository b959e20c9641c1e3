"""docs/reference/alarms.md says what the code does: every text, every state and event, every key of the webhook."""

from __future__ import annotations

from pathlib import Path

import pytest

from emberdraft.daemon.alarm_keeper import CALLING_PROMPTS
from emberdraft.daemon.alarm_texts import TEXTS
from emberdraft.daemon.alarms import EVENTS, STATES, TABLE

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "alarms.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("alert", TEXTS)
def test_the_page_has_the_words_of_each_alarm(alert):
    assert "| `{}` | {} | {} | {} |".format(alert, *TEXTS[alert]) in PAGE


@pytest.mark.parametrize("state", STATES)
def test_the_page_has_the_table_of_states(state):
    assert f"| {state} | {' | '.join(TABLE[(state, event)] for event in EVENTS)} |" in PAGE


def test_the_page_names_the_prompts_that_go_out():
    named = PAGE.split("go out this way: ")[1].split(", with their")[0]
    assert set(named.split(", ")) == CALLING_PROMPTS
