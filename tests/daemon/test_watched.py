"""Where an optional part is missing, Health and doctor say what is not watched."""

from __future__ import annotations

import pytest

from emberdraft.daemon.watched import not_watched, sentence

WHOLE = {"stone": "K", "blower": True, "damper": True, "tach": True, "damper_feedback": "pot", "supply": True}


@pytest.mark.parametrize(
    ("less", "words"),
    [
        ({}, []),
        ({"tach": False}, ["the blower's speed"]),
        ({"tach": False, "blower": False}, []),
        ({"damper_feedback": "none"}, ["the damper's place"]),
        ({"damper_feedback": "none", "damper": False}, []),
        ({"supply": False}, ["the 12 V supply"]),
        ({"stone": None}, ["the stone"]),
    ],
)
def test_what_is_missing_is_named(less, words):
    assert not_watched({**WHOLE, **less}) == words


def test_a_board_of_an_older_firmware_that_tells_little_has_little():
    assert not_watched({"pit": "K", "damper": True}) == [
        "the blower's speed", "the damper's place", "the 12 V supply", "the stone",
    ]  # fmt: skip


def test_the_sentence():
    assert sentence(None) == "no board has told yet what it has"
    assert sentence({"sensors": WHOLE}) == "every part that can be"
    assert sentence({"sensors": {**WHOLE, "supply": False}}) == "all that is fitted; no part for the 12 V supply"
