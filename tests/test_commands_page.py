"""The page of commands says what the commands say."""

from __future__ import annotations

import sys

import pytest

from tests.commands_page import PAGE, page_text


@pytest.mark.skipif(sys.version_info[:2] not in ((3, 11), (3, 12)), reason="argparse of 3.13 words its help otherwise")
def test_the_page_is_the_help_as_it_prints(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setenv("NO_COLOR", "1")
    assert PAGE.read_text(encoding="utf-8") == page_text(), "run: python -m tests.commands_page"
