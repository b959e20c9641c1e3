"""`emberdraft show` of a cook that goes on: the forecasts of the running host stand below its figures."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from emberdraft.cli import main
from emberdraft.commands.running import forget_running, note_running
from tests.waiting import until
from tests.web.conftest import FINISHED, RUNNING, Kitchen, open_kitchen


def shown(capsys: pytest.CaptureFixture[str], kitchen: Kitchen, *more: str) -> str:
    assert main(["show", *more, "--db", str(kitchen.store.path)]) == 0
    return capsys.readouterr().out


def test_the_forecasts_of_a_running_cook_are_shown_with_their_intervals(
    larder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_kitchen(tmp_path, larder, forecasts=True) as kitchen:
        until(lambda: kitchen.service.now()["forecasts"])
        forecasts_are_shown(kitchen, capsys)


def forecasts_are_shown(kitchen: Kitchen, capsys: pytest.CaptureFixture[str]) -> None:
    note_running(kitchen.store.path, kitchen.url, ("127.0.0.1", 1883))
    said = shown(capsys, kitchen, str(RUNNING)).split("To come, as it looks now")[1]
    assert "at 57\u00a0°C: about" in said
    assert said.count("probably ") == len(kitchen.service.now()["forecasts"]) >= 1
    rows = json.loads(shown(capsys, kitchen, str(RUNNING), "--json"))["forecasts"]
    assert all(row["low_s"] <= row["at_s"] <= row["high_s"] for row in rows)
    assert "135\u00a0°F" in shown(capsys, kitchen, str(RUNNING), "--units", "F")


def test_a_cook_that_is_over_or_a_host_that_is_gone_has_none(
    kitchen: Kitchen, capsys: pytest.CaptureFixture[str]
) -> None:
    note_running(kitchen.store.path, kitchen.url, ("127.0.0.1", 1883))
    assert "To come" not in shown(capsys, kitchen, str(FINISHED))
    note_running(kitchen.store.path, "http://127.0.0.1:9/", ("127.0.0.1", 1883))
    assert "To come" not in shown(capsys, kitchen, str(RUNNING))
    forget_running(kitchen.store.path)
    assert json.loads(shown(capsys, kitchen, str(RUNNING), "--json"))["forecasts"] is None
