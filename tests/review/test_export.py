"""Exports read back by the standard library's own readers, and never half a file."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from emberdraft.errors import UserError
from emberdraft.review import chunks_of, export_cook, figures_of
from emberdraft.review.export import write_whole
from emberdraft.store import Store
from emberdraft.store.records import READING_COLUMNS


def test_csv_has_a_line_for_each_reading_and_empty_cells_for_no_value(store: Store, cook: int, tmp_path: Path) -> None:
    target = tmp_path / "supper.csv"
    size = export_cook(store, cook, "csv", str(target))
    assert size == len(target.read_text())
    with target.open(newline="") as file:
        rows = list(csv.DictReader(file))
    kept = store.readings(cook)
    assert len(rows) == len(kept["at_s"]) == 2080
    assert tuple(rows[0]) == READING_COLUMNS
    assert [float(row["pit_c"]) for row in rows] == kept["pit_c"]
    assert [float(row["at_s"]) for row in rows] == kept["at_s"]
    assert (rows[0]["core1_c"], rows[0]["core1_fault"]) == ("", "open")


def test_json_has_everything(store: Store, cook: int) -> None:
    out = io.StringIO()
    export_cook(store, cook, "json", "-", out)
    whole = json.loads(out.getvalue())
    assert whole["figures"] == json.loads(json.dumps(figures_of(store, cook)))
    assert whole["plan"]["text"] == "version = 1\n"
    for part in ("phases", "pieces", "marks", "events", "alarms", "tunings", "gaps"):
        assert whole[part], part
    assert tuple(whole["reading_columns"]) == READING_COLUMNS
    column = whole["reading_columns"].index("pit_c")
    assert [row[column] for row in whole["readings"]] == store.readings(cook)["pit_c"]


def test_it_is_streamed(store: Store, cook: int) -> None:
    assert max(len(chunk) for chunk in chunks_of(store, cook, "csv")) < 150_000
    assert sum(1 for _ in chunks_of(store, cook, "csv")) > 3


def test_an_empty_cook_is_a_head_line(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, 0.0)
    assert "".join(chunks_of(store, cook_id, "csv")) == ",".join(READING_COLUMNS) + "\n"
    assert json.loads("".join(chunks_of(store, cook_id, "json")))["readings"] == []


def test_a_failure_half_way_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    target = tmp_path / "supper.csv"
    target.write_text("old")

    def breaks() -> Iterator[str]:
        yield "new"
        raise RuntimeError("the disk fell out")

    with pytest.raises(RuntimeError):
        write_whole(target, breaks())
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("supper.csv", "old")]


@pytest.mark.parametrize(
    ("cook_id", "form", "target", "said"),
    [
        (1, "xml", "-", "format 'xml': not known; one of csv, json, rest"),
        (9, "csv", "-", "no cook 9"),
        (1, "csv", "/no/such/folder/a.csv", "cannot be written"),
    ],
)
def test_what_cannot_be_exported_is_said(
    store: Store, cook: int, cook_id: int, form: str, target: str, said: str
) -> None:
    with pytest.raises(UserError, match=said):
        export_cook(store, cook_id, form, target)


def test_an_export_left_half_way_holds_nothing_up(store: Store, cook: int) -> None:
    half = chunks_of(store, cook, "csv")
    next(half)
    store.update_cook(cook, note="written while an export was being read")
    half.close()  # type: ignore[attr-defined]
    assert len(store._pool._free) == 1, "the connection has come back"
    assert sum(1 for _ in chunks_of(store, cook, "csv")) > 3
