"""`emberdraft trial` as a person meets it, from the question to the report; and the demonstration's own trial."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from emberdraft.cli import main
from emberdraft.store import Reader


def _run(capsys: pytest.CaptureFixture[str], db: Path, *argv: str) -> str:
    assert main(["trial", *argv, "--db", str(db)]) == 0
    return capsys.readouterr().out


def _json(capsys: pytest.CaptureFixture[str], db: Path, *argv: str) -> dict[str, Any]:
    made: dict[str, Any] = json.loads(_run(capsys, db, *argv, "--json"))
    return made


def test_a_trial_from_the_question_to_the_report(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    db = tmp_path / "cooks.sqlite"
    assert main(["rehearse", "two_chops", "--db", str(db)]) == 0
    capsys.readouterr()
    new = ("new", "Tempering", "--question", "does it matter?", "--treatments", "cold,tempered", "--blocks", "1")
    assert _json(capsys, db, *new) == {"trial": 1}
    assert "not assigned" in _run(capsys, db, "list")
    given = _json(capsys, db, "assign", "1")["given"]
    assert set(given) == {"1a", "1b"} and set(given.values()) == {"cold", "tempered"}
    assert "420 g" in _run(capsys, db, "weigh", "last", "1a", "on", "420g")
    _run(capsys, db, "weigh", "1", "1a", "pulled", "380g")
    assert "4\u00a0°C or less" in _run(capsys, db, "fridge", "1", "6C")
    _run(capsys, db, "look", "1", "dry on the outside", "--piece", "1a")
    assert "2 pieces are of cook 1" in _run(capsys, db, "cook", "1", "last", "1a=A", "1b=B")
    shown = _run(capsys, db, "show", "1")
    assert "on 420 g, pulled 380 g" in shown and "A of cook 1" in shown and "dry on the outside" in shown
    answer = _json(capsys, db, "compare", "1")
    assert answer["measures"][0]["contrasts"][0]["state"] == "too_few"
    assert len(answer["measures"][0]["contrasts"][0]["pairs"]) == 1
    assert "This could not show it: 1 pair, and 6 are the fewest" in _run(capsys, db, "compare", "1")
    for name in ("report.html", "report.pdf"):
        assert _json(capsys, db, "report", "1", "-o", str(tmp_path / name)) == {"written": str(tmp_path / name)}
    assert _json(capsys, db, "again", "1") == {"trial": 2}
    assert "has ended" in _run(capsys, db, "end", "1")


def test_a_tasting_by_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    db = tmp_path / "cooks.sqlite"
    _run(capsys, db, "new", "X", "--question", "?", "--treatments", "a,b", "--pieces", "p:1,q:1")
    _run(capsys, db, "assign", "1")
    assert "No tasting yet" in _run(capsys, db, "taste", "1")
    said = _run(capsys, db, "taste", "1", "--method", "duo-trio", "--answers", "2")
    assert "Tasting 1 is open" in said
    sheet = _json(capsys, db, "taste", "1", "--tasting", "1", "--sheet")["sheet"]
    code = next(plate["code"] for plate in sheet[0]["plates"] if not plate["reference"])
    assert "Kept: 1 of 2" in _run(capsys, db, "taste", "1", "--tasting", "1", "--answer", code, "--taster", "me")
    for out in (_run(capsys, db, "show", "1"), _run(capsys, db, "compare", "1"), _run(capsys, db, "taste", "1")):
        assert code not in out
    assert "1 of 2 have answered" in _run(capsys, db, "taste", "1", "--tasting", "1")
    assert "Closed." in _run(capsys, db, "taste", "1", "--tasting", "1", "--close")
    assert "1 answers cannot show a difference" in _run(capsys, db, "compare", "1")


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["show", "7"], "trial '7': there is none of that number"),
        (["show", "first"], "trial 'first'"),
        (["cook", "1", "9", "p=A"], "no cook has been recorded yet"),
        (["taste", "1", "--method", "triangle"], "--answers"),
        (["report", "1", "-o", "x.doc"], ".html or .pdf would be right"),
        (["look", "1", "x", "--photo", "no_such_file.png"], "--photo no_such_file.png"),
        (["weigh", "1", "p", "raw", "400"], "a bare number has no unit"),
        (["demo", "--cooks", "0"], "--cooks 0"),
    ],
)
def test_a_mistake_is_one_line(argv: list[str], words: str, tmp_path: Path, capsys) -> None:
    db = tmp_path / "cooks.sqlite"
    _run(capsys, db, "new", "X", "--question", "?", "--treatments", "a,b", "--pieces", "p:1,q:1")
    assert main(["trial", *argv, "--db", str(db)]) == 1
    said = capsys.readouterr().err
    assert words in said and said.count("\n") == 1


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demonstration's trial with one cook."""
    db = tmp_path_factory.mktemp("demo") / "demo.sqlite"
    assert main(["trial", "demo", "--cooks", "1", "--db", str(db)]) == 0
    return db


def test_the_demonstration_is_whole_and_marked_invented(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer = _json(capsys, demo, "compare", "last")
    assert answer["trial"]["invented"] == 1
    assert answer["limits"][0].startswith("Invented:")
    decides = answer["measures"][0]
    assert decides["measure"] == "time_to_pull" and len(decides["contrasts"][0]["pairs"]) == 2
    values = [row["values"] for row in answer["values"]]
    assert all(40.0 < row["time_to_pull"]["value"] < 120.0 for row in values)
    assert all(3.0 < row["cooking_loss"]["value"] < 20.0 for row in values)
    assert answer["tastings"][0]["total"] == 4
    with Reader(demo) as reader:
        assert [cook["invented"] for cook in reader.cooks()] == [1]


def test_the_report_has_design_data_analysis_and_limits_and_loads_nothing(demo: Path, tmp_path: Path, capsys) -> None:
    _run(capsys, demo, "report", "last", "-o", str(tmp_path / "trial.html"))
    text = (tmp_path / "trial.html").read_text(encoding="utf-8")
    for word in ("Design", "Data", "Analysis", "Limits", "How it was worked out", "Invented", "from the seed 1908"):
        assert word in text
    assert not re.search(r"(src|href)=\"(?!data:)", text)
    assert text.count("<svg") == 6 and text.count("<tr>") == 10


def test_the_report_on_paper_is_a_pdf_and_the_same_again(demo: Path, tmp_path: Path, capsys) -> None:
    for name in ("one.pdf", "two.pdf"):
        _run(capsys, demo, "report", "last", "-o", str(tmp_path / name))
    one, two = ((tmp_path / name).read_bytes() for name in ("one.pdf", "two.pdf"))
    assert one.startswith(b"%PDF") and one == two
    assert one.count(b"/Type /Page\n") + one.count(b"/Type /Page ") >= 3


def test_the_demonstrations_report_says_what_it_cannot_say(demo: Path, tmp_path: Path, capsys) -> None:
    _run(capsys, demo, "report", "last", "-o", str(tmp_path / "trial.html"))
    text = (tmp_path / "trial.html").read_text(encoding="utf-8")
    for words in ("neither drip nor give off juice", "1908, fixed, so that the demonstration repeats", "On the scale"):
        assert words in text
    assert "drawn when the trial was made" not in text
