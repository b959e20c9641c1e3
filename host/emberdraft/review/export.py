"""A cook as a file for other tools: csv (the readings) or json (everything). Streamed, never half a file.

Beside a csv lies its companion `NAME.rest.json`: everything but the readings, so that the two together bring the whole
cook back.
"""

from __future__ import annotations

import csv
import io
import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, TextIO

from emberdraft.errors import UserError
from emberdraft.review.cells import harmless
from emberdraft.review.figures import figures_of
from emberdraft.store.read import Reader
from emberdraft.store.records import READING_COLUMNS

FORMATS = ("csv", "json", "rest")
REST = ".rest.json"
_LINES_AT_ONCE = 500
_PARTS = ("phases", "pieces", "marks", "events", "alarms", "orders", "tunings", "lost", "gaps")


def csv_chunks(reader: Reader, cook_id: int) -> Iterator[str]:
    """A head line of column names, then one line a reading; an empty cell is no value. Columns: database.md.

    No cell is a formula to a spreadsheet, whatever text a board sent (cells.py).
    """
    buffer = io.StringIO()
    write = csv.writer(buffer, lineterminator="\n").writerow
    write(READING_COLUMNS)
    for count, row in enumerate(reader.each_reading(cook_id), 1):
        write([harmless(value) if isinstance(value, str) else value for value in row])
        if count % _LINES_AT_ONCE == 0:
            yield _drained(buffer)
    yield _drained(buffer)


def rest_chunks(reader: Reader, cook_id: int) -> Iterator[str]:
    """One object: what the csv does not have."""
    yield from _parts_text(reader, cook_id)
    yield "\n}\n"


def _parts_text(reader: Reader, cook_id: int) -> Iterator[str]:
    for part, value in json_parts(reader, cook_id).items():
        yield f'{"{" if part == "cook" else ","}\n"{part}": ' + _json(value)


def json_chunks(reader: Reader, cook_id: int) -> Iterator[str]:
    """One object: cook, figures, every table of the cook, and the readings as an array of columns by name."""
    yield from _parts_text(reader, cook_id)
    yield ',\n"reading_columns": ' + _json(READING_COLUMNS)
    yield ',\n"readings": ['
    before = ""
    for row in reader.each_reading(cook_id):
        yield before + "\n" + _json(row)
        before = ","
    yield "\n]}\n"


def json_parts(reader: Reader, cook_id: int) -> dict[str, Any]:
    """Everything of a cook but its readings."""
    cook = reader.cook(cook_id)
    plan_id = None if cook is None else cook["plan_id"]
    return {
        "cook": cook,
        "plan": None if plan_id is None else reader.plan(plan_id),
        "figures": figures_of(reader, cook_id),
        **{part: getattr(reader, part)(cook_id) for part in _PARTS},
    }


CHUNKS: dict[str, Callable[[Reader, int], Iterator[str]]] = {
    "csv": csv_chunks,
    "json": json_chunks,
    "rest": rest_chunks,
}


def chunks_of(reader: Reader, cook_id: int, form: str) -> Iterator[str]:
    """The export as pieces of text; a cook or a format that does not exist is refused before the first piece."""
    if form not in CHUNKS:
        raise UserError(f"format {form!r}: not known; one of {', '.join(FORMATS)}")
    if reader.cook(cook_id) is None:
        raise UserError(f"There is no cook {cook_id}; `emberdraft cooks` lists what there is.")
    return CHUNKS[form](reader, cook_id)


def export_cook(reader: Reader, cook_id: int, form: str, target: str, stdout: TextIO | None = None) -> int:
    """Write an export to the file `target`, or to standard output for '-'; how many bytes (there: characters).

    The file appears whole or not at all: it is written beside its place and moved there at the end.
    """
    chunks = chunks_of(reader, cook_id, form)
    if target == "-":
        return _write(chunks, stdout or sys.stdout)
    if form == "csv":
        write_whole(companion_of(Path(target)), chunks_of(reader, cook_id, "rest"))
    return write_whole(Path(target), chunks)


def companion_of(path: Path) -> Path:
    """Where the rest of a csv lies: supper.csv, supper.rest.json."""
    return path.with_name(path.name.removesuffix(".csv") + REST)


def write_whole(path: Path, chunks: Iterator[str]) -> int:
    """Write a file so that a reader never sees half of it, and an older one stays until the new one is whole."""
    return write_bytes(path, (chunk.encode() for chunk in chunks))


def write_bytes(path: Path, chunks: Iterable[bytes]) -> int:
    """The same for bytes; how many."""
    try:
        with tempfile.NamedTemporaryFile("wb", dir=path.parent, prefix=f".{path.name}.", delete=False) as file:
            beside = Path(file.name)
            try:
                size = _write(chunks, file)
                file.flush()
                os.fsync(file.fileno())
                beside.chmod(0o644)
                beside.replace(path)
            except BaseException:
                beside.unlink(missing_ok=True)
                raise
    except OSError as error:
        raise UserError(
            f"{path} cannot be written ({error.strerror}); name a file in a folder you can write"
        ) from error
    return size


def _write(chunks: Iterable[Any], out: Any) -> int:
    return sum(out.write(chunk) for chunk in chunks)


def _drained(buffer: io.StringIO) -> str:
    text = buffer.getvalue()
    buffer.seek(0)
    buffer.truncate()
    return text


def _json(value: Any) -> str:
    return json.dumps(value, allow_nan=False, separators=(",", ":"), ensure_ascii=False)
