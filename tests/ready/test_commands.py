"""`emberdraft vents` and `emberdraft fuel`, as a person types them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from emberdraft.cli import main
from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.rehearse import rehearse
from emberdraft.daemon.steps import stretches_of
from emberdraft.ready.recorded import has_blower, recorded_trace
from emberdraft.store.read import Reader


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("record") / "cook.sqlite"
    rehearse(load_plan("hold"), db=path)
    return path


def _said(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    code = main(argv)
    out = capsys.readouterr()
    return code, out.out, out.err


def test_fuel_of_a_plan_is_a_band_with_its_phases(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = _said(capsys, "fuel", "two_chops", "--json")
    said = json.loads(out)
    assert code == 0
    assert 0.1 < said["low_kg"] < said["kg"] < said["high_kg"] < 3.0
    assert list(said["by_phase_kg"]) == ["light", "soak", "slow", "climb", "sear"]
    assert said["to_light_with_kg"] >= said["high_kg"]


def test_fuel_says_whether_what_you_have_is_enough(capsys: pytest.CaptureFixture[str]) -> None:
    assert "That is enough" in _said(capsys, "fuel", "hold", "--have", "3 kg")[1]
    assert "That is not enough" in _said(capsys, "fuel", "hold", "--have", "100 g")[1]
    code, _, error = _said(capsys, "fuel", "hold", "--have", "3")
    assert code == 1
    assert "unit" in error


def test_vents_learns_from_the_cookers_own_cook(record: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = _said(capsys, "vents", "rehearsal", "--pit", "121C", "--db", str(record), "--json")
    said = json.loads(out)
    assert code == 0
    assert said["stretches"] >= 1
    on = said["blower_on"]
    # It held 121 degC with the top vent at a quarter and the blower at about 0.3.
    assert on["low"] <= on["opening"] <= on["high"]
    assert 0.2 <= on["blower_share"] <= 0.5


def test_vents_answers_in_words_and_refuses_in_one_line(record: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "top vent" in _said(capsys, "vents", "rehearsal", "--pit", "250F", "--db", str(record))[1]
    for argv, wrong in (
        (("vents", "nobody", "--pit", "121C"), "known: rehearsal"),
        (("vents", "rehearsal", "--pit", "121"), "unit"),
        (("vents", "rehearsal", "--pit", "30C"), "at least 30 degC over"),
    ):
        code, _, error = _said(capsys, *argv, "--db", str(record))
        assert code == 1
        assert wrong in error
        assert len(error.strip().splitlines()) == 1


def test_vents_answers_where_nothing_is_recorded_yet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, said, _ = _said(capsys, "vents", "yard", "--pit", "121C", "--db", str(tmp_path / "none.sqlite"))
    assert code == 0
    assert "what ceramic cookers of 30 to 60 cm have in common" in said


def test_vents_answers_for_a_cooker_of_the_settings_that_has_cooked_nothing_yet(
    record: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    settings = tmp_path / "emberdraft.toml"
    settings.write_text('cooker = "yard"\nmore_cookers = ["shed"]\n')
    monkeypatch.setenv("EMBERDRAFT_CONFIG", str(settings))
    for cooker in ("yard", "shed"):
        code, said, _ = _said(capsys, "vents", cooker, "--pit", "121C", "--db", str(record))
        assert code == 0 and "what ceramic cookers of 30 to 60 cm have in common" in said
    assert _said(capsys, "vents", "yrad", "--pit", "121C", "--db", str(record))[0] == 1


def test_a_recorded_cook_becomes_a_trace(record: Path) -> None:
    with Reader(record) as reader:
        trace = recorded_trace(reader, 1)
    assert trace is not None
    assert has_blower(trace)
    assert float(trace.vent_top[60]) == 0.25


def test_a_plan_becomes_stretches_that_burn() -> None:
    stretches = stretches_of(load_plan("two_chops"))
    assert [s.phase for s in stretches] == ["light", "soak", "slow", "climb", "sear"]
    assert stretches[2].parts_kg == 6.0
    assert stretches[2].food_kg == pytest.approx(0.85)
    assert stretches[3].stone_c == 270.0
