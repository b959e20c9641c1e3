"""A cook that was exported comes back with the same figures; what is wrong in a file is said with its place."""

from __future__ import annotations

import csv
import io
import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from emberdraft import cli
from emberdraft.errors import UserError
from emberdraft.review import chunks_of, figures_of
from emberdraft.review.bringing import bring_text
from emberdraft.review.parquet import KEY, parquet_bytes
from emberdraft.store import Store
from emberdraft.store.records import READING_COLUMNS
from tests.store.making import START_S, reading

COUNTED = ("cook", "phase", "piece", "mark", "reading", "event", "alarm", "order_", "tuning", "boot", "slice", "lost")


def exported(store: Store, cook_id: int, form: str) -> str:
    return "".join(chunks_of(store, cook_id, form))


def counts(path: Path) -> dict[str, int]:
    with closing(sqlite3.connect(path)) as db:
        return {table: db.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in COUNTED}


def without(figures: dict[str, Any], *keys: str) -> dict[str, Any]:
    return {**figures, "cook": {k: v for k, v in figures["cook"].items() if k not in ("id", *keys)}}


@pytest.fixture
def other(tmp_path: Path) -> Any:
    with Store(tmp_path / "other" / "cooks.sqlite") as made:
        yield made


def test_json_brings_every_figure_back(store: Store, cook: int, other: Store) -> None:
    store.settle_lost("yard", "b1", 700, 719)
    n = store.next_order_n("yard")
    store.add_order("yard", n, "b1", START_S + 5.0, "gains", {"kp": 0.02}, "person")
    again = bring_text(other, exported(store, cook, "json"), "supper.json")
    assert without(figures_of(other, again)) == without(figures_of(store, cook))
    assert other.readings(again) == store.readings(cook)
    assert other.strip(again, points=200) == store.strip(cook, points=200)
    assert [row["args"] for row in other.orders(again)] == [{"kp": 0.02}]
    assert other.gaps(again) == store.gaps(cook)
    plan = other.plan(other.cook(again)["plan_id"])  # type: ignore[index]
    assert plan is not None and plan["text"] == "version = 1\n"


def test_csv_brings_the_readings_back_and_what_is_worked_out_of_them(store: Store, cook: int, other: Store) -> None:
    again = bring_text(other, exported(store, cook, "csv"), "supper.csv", simulated=True)
    assert other.readings(again) == store.readings(cook)
    mine, theirs = figures_of(other, again), figures_of(store, cook)
    for key in ("lid_lifts", "disturbances"):
        assert mine[key] == theirs[key], key
    assert mine["record"]["reading_count"] == theirs["record"]["reading_count"]
    # The board says what the pit is to be, also while it drives the stone: phases that hold the pit are the same.
    pairs = zip(mine["phases"], theirs["phases"], strict=True)
    for a, b in pairs:
        assert a["phase"] == b["phase"]
        if a["held"] == "pit":
            assert a == b
    assert mine["cook"]["invented"] is True
    assert mine["cook"]["name"] == "supper"


def test_an_export_of_what_was_brought_is_the_same_file(store: Store, cook: int, other: Store) -> None:
    text = exported(store, cook, "csv")
    assert exported(other, bring_text(other, text, "supper.csv"), "csv") == text


def alike(text: str) -> dict[str, Any]:
    """A json export without the numbers that each database gives anew."""

    def bare(value: Any) -> Any:
        if isinstance(value, dict):
            numbers = ("id", "cook_id", "plan_id", "first_boot", "last_boot")
            return {key: bare(each) for key, each in value.items() if key not in numbers}
        return [bare(each) for each in value] if isinstance(value, list) else value

    found: dict[str, Any] = bare(json.loads(text))
    return found


def full(store: Store, cook: int) -> int:
    """The cook with what conftest.py leaves out: a gap that was lost, an order, a mark taken back, a photo's note."""
    store.settle_lost("yard", "b1", 700, 719)
    store.add_order("yard", store.next_order_n("yard"), "b1", START_S + 5.0, "gains", {"kp": 0.02}, "person")
    store.undo_mark(store.add_mark(cook, START_S + 7.0, "note", None, "gone"))
    store.add_mark(cook, START_S + 9.0, "pull_at", 55.0, "A")
    store.begin_cook("yard", "the next one", None, START_S + 9000.0)
    return cook


def test_a_json_round_trip_is_the_same_in_every_part(store: Store, cook: int, other: Store) -> None:
    text = exported(store, full(store, cook), "json")
    other.begin_cook("shed", "another", None, START_S)
    again = bring_text(other, text, "supper.json")
    assert alike(exported(other, again, "json")) == alike(text)


def test_a_csv_round_trip_with_its_companion_is_the_same_in_every_part(
    store: Store, cook: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    full(store, cook)
    file, db = tmp_path / "supper.csv", tmp_path / "new.sqlite"
    assert cli.main(["export", str(cook), "-o", str(file), "--db", str(store.path)]) == 0
    assert (tmp_path / "supper.rest.json").exists()
    assert cli.main(["import", str(file), "--db", str(db)]) == 0
    with Store(db) as other:
        assert alike(exported(other, 1, "json")) == alike(exported(store, cook, "json"))
        assert exported(other, 1, "csv") == file.read_text()


def test_a_companion_of_another_cook_is_refused(store: Store, cook: int, other: Store) -> None:
    csv_text, rest = exported(store, cook, "csv"), json.loads(exported(store, cook, "rest"))
    rest["cook"]["start_s"] += 5000.0
    rest["cook"]["end_s"] += 5000.0
    with pytest.raises(UserError, match=r"supper.rest.json: cook 'supper': not that of the readings"):
        bring_text(other, csv_text, "supper.csv", rest=json.dumps(rest))
    with pytest.raises(UserError, match=r"supper.rest.json: no cook in it"):
        bring_text(other, csv_text, "supper.csv", rest="[]")


def changed(text: str, line: int, **cells: str) -> str:
    rows = list(csv.reader(io.StringIO(text)))
    for name, cell in cells.items():
        rows[line - 1][READING_COLUMNS.index(name)] = cell
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"pit_c": "hot"}, r"line 40, pit_c: 'hot'; a number"),
        ({"pit_c": "nan"}, r"line 40, pit_c: 'nan'; a number"),
        ({"seq": "3.5"}, r"line 40, seq: '3.5'; a whole number"),
        ({"duty": "1.5"}, r"line 40, duty: '1.5'; 0 to 1"),
        ({"late": "2"}, r"line 40, late: '2'; 0 or 1"),
        ({"at_s": ""}, r"line 40, at_s: 'None'; a value is needed"),
        ({"at_s": "5"}, r"line 40, at_s: 5\.0; not before"),
        ({"seq": "0"}, r"line 40, seq: 0; boot 'b1' has it already"),
        ({"cooker": "shed"}, r"line 40, cooker: 'shed'; 'yard' as before"),
    ],
)
def test_a_bad_row_is_named_with_line_field_and_value_and_nothing_is_written(
    store: Store, cook: int, other: Store, cells: dict[str, str], said: str
) -> None:
    text = changed(exported(store, cook, "csv"), 40, **cells)
    before = counts(other.path)
    with pytest.raises(UserError, match=said):
        bring_text(other, text, "supper.csv")
    assert counts(other.path) == before


@pytest.mark.parametrize(
    ("text", "name", "said"),
    [
        ("", "a.csv", "line 1, nothing in it"),
        ("at_s,pit_c\n", "a.csv", "column 1: 'at_s'; 'cooker'"),
        (",".join(READING_COLUMNS) + "\n", "a.csv", "no reading in it"),
        (",".join(READING_COLUMNS) + "\n1,2\n", "a.csv", "line 2: 2 cells"),
        ("{", "a.json", "a json written by"),
        ("[]", "a.json", "no cook in it"),
        ("x", "a.txt", "not known"),
    ],
)
def test_what_is_no_export_is_refused_in_a_line(other: Store, text: str, name: str, said: str) -> None:
    with pytest.raises(UserError, match=said):
        bring_text(other, text, name)


def test_a_bad_value_in_json_is_named(store: Store, cook: int, other: Store) -> None:
    whole = json.loads(exported(store, cook, "json"))
    whole["readings"][7][READING_COLUMNS.index("duty")] = "much"
    with pytest.raises(UserError, match=r"reading 8, duty: 'much'; a number"):
        bring_text(other, json.dumps(whole), "supper.json")


def test_a_part_that_cannot_be_kept_leaves_nothing_half_written(store: Store, cook: int, other: Store) -> None:
    whole = json.loads(exported(store, cook, "json"))
    whole["marks"][0]["at_s"] = "noon"
    before = counts(other.path)
    with pytest.raises(UserError):
        bring_text(other, json.dumps(whole), "supper.json")
    assert counts(other.path) == before


def test_it_is_never_mixed_with_what_is_there(store: Store, cook: int) -> None:
    text = exported(store, cook, "csv")
    with pytest.raises(UserError, match=r"has cook 1 .*\(--cooker NAME\)"):
        bring_text(store, text, "supper.csv")
    again = bring_text(store, text, "supper.csv", cooker="copy", name="supper again")
    row = store.cook(again)
    assert row is not None and (row["cooker"], row["name"]) == ("copy", "supper again")
    assert store.readings(cook)["cooker"] == ["yard"] * 2080
    with pytest.raises(UserError, match="readings of that time already"):
        store.add_records("shed", "b1", [reading(1, at_s=START_S + 9.0)])
        bring_text(store, text, "supper.csv", cooker="shed")
    store.add_records("barn", "b1", [reading(1, at_s=START_S + 9.0e6)])
    before = counts(store.path)
    with pytest.raises(UserError, match="readings of that board start already"):
        bring_text(store, text, "supper.csv", cooker="barn")
    assert counts(store.path) == before


def test_the_verb_brings_a_file(store: Store, cook: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file, db = tmp_path / "supper.json", tmp_path / "new.sqlite"
    file.write_text(exported(store, cook, "json"), encoding="utf-8")
    assert cli.main(["import", str(file), "--db", str(db)]) == 0
    assert "cook 1" in capsys.readouterr().out
    assert cli.main(["import", str(tmp_path / "none.csv"), "--db", str(db)]) == 1
    assert "cannot be read" in capsys.readouterr().err


def test_parquet_is_read_by_pyarrow_with_types_and_everything_else_beside(
    store: Store, cook: int, tmp_path: Path
) -> None:
    import pyarrow.parquet

    target = tmp_path / "supper.parquet"
    assert cli.main(["export", str(cook), "--format", "parquet", "-o", str(target), "--db", str(store.path)]) == 0
    table = pyarrow.parquet.read_table(target)
    kept = store.readings(cook)
    assert table.column_names == list(READING_COLUMNS)
    for name in ("at_s", "pit_c", "core1_c", "seq", "mode", "lid_open"):
        assert table[name].to_pylist() == kept[name], name
    assert str(table.schema.field("pit_c").type) == "double"
    about = json.loads(table.schema.metadata[KEY])
    assert about["figures"] == json.loads(json.dumps(figures_of(store, cook)))
    assert table["core1_c"].null_count == kept["core1_c"].count(None) > 0


def test_without_pyarrow_it_says_what_to_install(store: Store, cook: int, monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(UserError, match=r"emberdraft\[parquet\]"):
        parquet_bytes(store, cook)


def test_csv_is_read_by_pyarrow_too(store: Store, cook: int) -> None:
    import pyarrow.csv

    table = pyarrow.csv.read_csv(io.BytesIO(exported(store, cook, "csv").encode()))
    assert table["pit_c"].to_pylist() == store.readings(cook)["pit_c"]
