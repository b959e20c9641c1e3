"""A cook out of a file that `export` wrote, checked line by line before anything is written.

The readings are gone through twice, to check and to write, and no list of them is kept: a day is a few times its text.

json brings everything back: every figure is the same again; so does a csv with its companion (`NAME.rest.json`, written
beside it). A csv alone has the readings: phases are taken from what the board said of its phase each second; pieces,
marks and alarms are not in it.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import msgspec

from emberdraft.errors import UserError
from emberdraft.nesting import DEEPEST, too_deep
from emberdraft.review.cells import as_it_was
from emberdraft.review.export import companion_of
from emberdraft.review.gone_through import AT, COOKER, Each, Found, Reading, Readings, looked_through
from emberdraft.store.bring import OF_COOK, OF_COOKER
from emberdraft.store.records import CORE_PROBES, READING_COLUMNS
from emberdraft.store.store import Store

Row = dict[str, Any]
Parts = dict[str, list[Mapping[str, Any]]]
CookOf = Callable[[Found], tuple[Row, Parts]]
HOW = "brought from a file"
SIMULATED = ("demo", "rehearsal")
NUMBERS = frozenset(
    {"at_s", "pit_c", "stone_c", "board_c", "target_c", "ref_c", "duty", "drive", "opening", "fire"}
    | {f"core{k}_c" for k in range(1, CORE_PROBES + 1)}
    | {"p_duty", "i_duty", "d_duty", "ff_duty"}
)
WHOLES = frozenset({"seq", "ms", "late", "lid_open"})
NEEDED = frozenset({"cooker", "at_s", "boot", "seq", "ms", "late"})
NESTED = f"nested deeper than {DEEPEST}; a json written by `emberdraft export` would be right"
SHARES = frozenset({"duty", "drive", "opening"})
COUNTS, LARGEST = frozenset({"seq", "ms", "at_s"}), 2**53  # every number to there is one in JSON and in SQLite alike
FLAGS = frozenset({"late", "lid_open"})
FAULTS = frozenset({"pit_fault", "stone_fault"} | {f"core{k}_fault" for k in range(1, CORE_PROBES + 1)})


def bring_file(store: Store, path: Path, **more: Any) -> int:
    """Bring the cook in a file, with its companion if one lies beside it; its number. `more` as in `bring_text`."""
    text, rest = read_files(path)
    return bring_text(store, text, path.name, rest=rest, **more)


def read_files(path: Path) -> tuple[str, str | None]:
    """The text of a file, and that of a csv's companion where there is one."""
    beside = companion_of(path)
    return _read(path), _read(beside) if path.name.endswith(".csv") and beside.exists() else None


def _read(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise UserError(f"{path}: cannot be read ({error}); a csv or json written by `emberdraft export`") from None


def bring_text(
    store: Store, text: str, file_name: str, cooker: str | None = None, name: str | None = None,
    simulated: bool = False, rest: str | None = None,
) -> int:  # fmt: skip
    """Bring a cook: `file_name` ends in .csv or .json. `cooker` and `name` in place of those in the file.

    `rest`: the text of a csv's companion.
    """
    stem, _, ending = file_name.rpartition(".")
    if ending.lower() not in ("csv", "json"):
        raise UserError(f"{file_name}: not known; a csv or json written by `emberdraft export` would be right")
    each, cook_of = (_from_csv if ending.lower() == "csv" else _from_json)(text, file_name)
    found = looked_through(each)
    if found is None:
        raise UserError(f"{file_name}: no reading in it; a cook that was recorded would be right")
    cook, parts = cook_of(found) if rest is None else _from_rest(rest, found, companion_of(Path(file_name)).name)
    cook = {"name": name or cook.get("name") or stem, **{k: v for k, v in cook.items() if k != "name"}}
    cook["cooker"] = cooker or cook["cooker"]
    cook["invented"] = int(simulated or cook["invented"])
    return store.bring_cook(cook, Readings(each), parts)


# ---- csv


def _from_csv(text: str, file_name: str) -> tuple[Each, CookOf]:
    def each() -> Iterator[tuple[str, Reading]]:
        lines = csv.reader(_lines(text))
        head = next(lines, None)
        if head is None or tuple(head) != READING_COLUMNS:
            raise UserError(f"{file_name}: line 1, {_wrong_head(head)}")
        for cells in lines:
            where = f"{file_name}: line {lines.line_num}"
            yield where, _reading(cells, where)

    def cook_of(found: Found) -> tuple[Row, Parts]:
        cooker = found.first[COOKER]
        cook = {"cooker": cooker, "start_s": found.first[AT], "end_s": found.last[AT], "how": HOW}
        return {**cook, "invented": int(cooker.startswith(SIMULATED))}, {"phases": found.phases}

    return each, cook_of


def _lines(text: str) -> Iterator[str]:
    """The lines with their ends; a line break inside quotes is the csv reader's matter."""
    begin = 0
    while begin < len(text):
        end = text.find("\n", begin) + 1 or len(text)
        yield text[begin:end]
        begin = end


def _wrong_head(head: list[str] | None) -> str:
    if head is None:
        return "nothing in it; the head line of an export would be right"
    for place, (has, right) in enumerate(zip(head, READING_COLUMNS, strict=False), 1):
        if has != right:
            return f"column {place}: {has!r}; {right!r} would be right, as `emberdraft export` writes it"
    return f"{len(head)} columns; the {len(READING_COLUMNS)} of an export would be right"


def _reading(cells: Sequence[str], where: str) -> Reading:
    if len(cells) != len(READING_COLUMNS):
        raise UserError(f"{where}: {len(cells)} cells; {len(READING_COLUMNS)} would be right")
    return tuple(_cell(name, text, where) for name, text in zip(READING_COLUMNS, cells, strict=True))


def _cell(name: str, text: str, where: str) -> Any:
    if text == "":
        return _checked(name, "" if name in FAULTS else None, where)
    if name not in NUMBERS and name not in WHOLES:
        return as_it_was(text)
    try:
        value: float = int(text) if name in WHOLES else float(text)
    except ValueError:
        kind = "a whole number" if name in WHOLES else "a number"
        raise UserError(f"{where}, {name}: {text[:40]!r}; {kind} would be right") from None
    return _checked(name, value, where)


def _checked(name: str, value: Any, where: str) -> Any:
    """A value inside what its column may hold, from csv or json alike."""
    right = ""
    if value is None:
        right = "a value is needed" if name in NEEDED else "a text would be right" if name in FAULTS else ""
    elif name in NUMBERS or name in WHOLES:
        kinds = (int,) if name in WHOLES else (int, float)
        if isinstance(value, bool) or not isinstance(value, kinds) or not math.isfinite(value):
            right = "a whole number would be right" if name in WHOLES else "a number would be right"
        elif name in SHARES and not 0.0 <= value <= 1.0:
            right = "0 to 1 would be right"
        elif name in FLAGS and value not in (0, 1):
            right = "0 or 1 would be right"
        elif name in COUNTS and not 0 <= value <= LARGEST:
            right = f"0 to {LARGEST} would be right"
    elif not isinstance(value, str):
        right = "a text would be right"
    if right:
        raise UserError(f"{where}, {name}: {_shown(value)}; {right}")
    return float(value) if name in NUMBERS and value is not None else value


def _shown(value: Any) -> str:
    """A value for a message; of what holds others only what it is, since it may be nested without end."""
    if isinstance(value, (list, dict)):
        return "a list" if isinstance(value, list) else "an object"
    return repr(str(value)[:40])


# ---- json


def _from_json(text: str, file_name: str) -> tuple[Each, CookOf]:
    whole, raw = _object(text, file_name)
    if whole.get("reading_columns") != list(READING_COLUMNS):
        raise UserError(f"{file_name}, reading_columns: not those of this release; export it with this release")
    parts = _json_parts(whole, file_name)

    def each() -> Iterator[tuple[str, Reading]]:
        for k, row in enumerate(raw, 1):
            where = f"{file_name}: reading {k}"
            yield where, _json_reading(row, where)

    return each, lambda found: (_json_cook(whole["cook"], found.last[AT], file_name), parts)


def _object(text: str, file_name: str) -> tuple[Row, list[msgspec.Raw]]:
    """The object, and its readings undecoded: a day of them would be ten times as large as its text."""
    right = "a json written by `emberdraft export` would be right"
    try:
        raw = msgspec.json.decode(text, type=dict[str, msgspec.Raw])
        readings = msgspec.json.decode(raw.pop("readings", b"[]"), type=list[msgspec.Raw] | None) or []
        whole = {name: msgspec.json.decode(part) for name, part in raw.items()}
    except RecursionError:
        raise UserError(f"{file_name}: {NESTED}") from None
    except msgspec.ValidationError:
        raise UserError(f"{file_name}: no cook in it; {right}") from None
    except msgspec.DecodeError as error:
        raise UserError(f"{file_name}: {error}; {right}") from None
    if not isinstance(whole.get("cook"), dict):
        raise UserError(f"{file_name}: no cook in it; {right}")
    if any(map(too_deep, whole.values())):
        raise UserError(f"{file_name}: {NESTED}")
    return whole, readings


def _from_rest(text: str, found: Found, file_name: str) -> tuple[Row, Parts]:
    """What stands in a csv's companion; one of another cook is refused."""
    whole, _ = _object(text, file_name)
    cook = _json_cook(whole["cook"], found.last[AT], file_name)
    own = (found.first[COOKER], cook["start_s"] <= found.first[AT], found.last[AT] <= cook["end_s"])
    if own != (cook["cooker"], True, True):
        raise UserError(f"{file_name}: cook {cook['name']!r}: not that of the readings; the one written beside the csv")
    return cook, _json_parts(whole, file_name)


def _json_reading(raw: msgspec.Raw, where: str) -> Reading:
    try:
        row = msgspec.json.decode(raw)
    except RecursionError:
        raise UserError(f"{where}: {NESTED}") from None
    if not isinstance(row, list) or len(row) != len(READING_COLUMNS):
        raise UserError(f"{where}: {_shown(row)}; a list of {len(READING_COLUMNS)} values would be right")
    return tuple(_checked(name, value, where) for name, value in zip(READING_COLUMNS, row, strict=True))


def _json_cook(cook: Row, last_s: float, file_name: str) -> Row:
    for name, kind, right in (
        ("cooker", str, "a text"),
        ("name", str, "a text"),
        ("start_s", (int, float), "a number"),
    ):
        if not isinstance(cook.get(name), kind) or isinstance(cook.get(name), bool):
            raise UserError(f"{file_name}: cook, {name}: {cook.get(name)!r}; {right} would be right")
    end_s = cook.get("end_s")
    if end_s is None:
        end_s = last_s
    keep = {key: cook[key] for key in ("cooker", "name", "start_s")}
    return {**keep, "end_s": end_s, "how": cook.get("how") or HOW, "invented": int(bool(cook.get("invented"))),
            "note": str(cook.get("note") or "")}  # fmt: skip


def _json_parts(whole: Row, file_name: str) -> Parts:
    parts: Parts = {}
    for name in (*OF_COOK, *OF_COOKER):
        rows = whole.get(name) or []
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            raise UserError(f"{file_name}: {name}: a list of objects would be right")
        parts[name] = rows
    plan = whole.get("plan")
    if plan is not None:
        if not isinstance(plan, dict) or not all(isinstance(plan.get(key), str) for key in ("name", "text")):
            raise UserError(f"{file_name}: plan: an object with the texts name and text would be right")
        parts["plan"] = [plan]
    return parts
