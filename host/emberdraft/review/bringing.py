"""A cook out of a file that `export` wrote, checked line by line before anything is written.

json brings everything back: every figure is the same again; so does a csv with its companion (`NAME.rest.json`, written
beside it). A csv alone has the readings: phases are taken from what the board said of its phase each second; pieces,
marks and alarms are not in it.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from emberdraft.errors import UserError
from emberdraft.nesting import DEEPEST, too_deep
from emberdraft.review.cells import as_it_was
from emberdraft.review.export import companion_of
from emberdraft.store.bring import OF_COOK, OF_COOKER
from emberdraft.store.records import CORE_PROBES, READING_COLUMNS
from emberdraft.store.store import Store

Row = dict[str, Any]
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
    rows, cook, parts = (_from_csv if ending.lower() == "csv" else _from_json)(text, file_name)
    if rest is not None and rows:
        cook, parts = _from_rest(rest, rows, companion_of(Path(file_name)).name)
    if not rows:
        raise UserError(f"{file_name}: no reading in it; a cook that was recorded would be right")
    cook = {"name": name or cook.get("name") or stem, **{k: v for k, v in cook.items() if k != "name"}}
    cook["cooker"] = cooker or cook["cooker"]
    cook["invented"] = int(simulated or cook["invented"])
    return store.bring_cook(cook, rows, parts)


# ---- csv


def _from_csv(text: str, file_name: str) -> tuple[list[tuple[Any, ...]], Row, dict[str, list[Mapping[str, Any]]]]:
    lines = csv.reader(io.StringIO(text, newline=""))
    head = next(lines, None)
    if head is None or tuple(head) != READING_COLUMNS:
        raise UserError(f"{file_name}: line 1, {_wrong_head(head)}")
    rows = [_reading(cells, f"{file_name}: line {lines.line_num}") for cells in lines]
    _check_order(rows, lambda k: f"{file_name}: line {k + 2}")
    if not rows:
        return [], {}, {}
    cooker = rows[0][READING_COLUMNS.index("cooker")]
    at = READING_COLUMNS.index("at_s")
    cook = {"cooker": cooker, "start_s": rows[0][at], "end_s": rows[-1][at], "how": HOW}
    cook["invented"] = int(cooker.startswith(SIMULATED))
    return rows, cook, {"phases": phases_of(rows)}


def _wrong_head(head: list[str] | None) -> str:
    if head is None:
        return "nothing in it; the head line of an export would be right"
    for place, (has, right) in enumerate(zip(head, READING_COLUMNS, strict=False), 1):
        if has != right:
            return f"column {place}: {has!r}; {right!r} would be right, as `emberdraft export` writes it"
    return f"{len(head)} columns; the {len(READING_COLUMNS)} of an export would be right"


def _reading(cells: Sequence[str], where: str) -> tuple[Any, ...]:
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
        right = "a value is needed" if name in NEEDED else ""
    elif name in NUMBERS or name in WHOLES:
        kinds = (int,) if name in WHOLES else (int, float)
        if isinstance(value, bool) or not isinstance(value, kinds) or not math.isfinite(value):
            right = "a whole number would be right" if name in WHOLES else "a number would be right"
        elif name in SHARES and not 0.0 <= value <= 1.0:
            right = "0 to 1 would be right"
        elif name in FLAGS and value not in (0, 1):
            right = "0 or 1 would be right"
        elif name in ("seq", "ms") and value < 0:
            right = "0 or above would be right"
    elif not isinstance(value, str):
        right = "a text would be right"
    if right:
        raise UserError(f"{where}, {name}: {_shown(value)}; {right}")
    return value


def _shown(value: Any) -> str:
    """A value for a message; of what holds others only what it is, since it may be nested without end."""
    return {list: "a list", dict: "an object"}.get(type(value)) or repr(str(value)[:40])


def _check_order(rows: Sequence[Sequence[Any]], where: Callable[[int], str]) -> None:
    """By time, each record once, all of one cooker."""
    at, boot, seq, cooker = (READING_COLUMNS.index(name) for name in ("at_s", "boot", "seq", "cooker"))
    seen = set()
    for k, row in enumerate(rows):
        if row[cooker] != rows[0][cooker]:
            raise UserError(f"{where(k)}, cooker: {row[cooker]!r}; {rows[0][cooker]!r} as before would be right")
        if k and row[at] < rows[k - 1][at]:
            raise UserError(f"{where(k)}, at_s: {row[at]!r}; not before {rows[k - 1][at]!r} would be right")
        if (row[boot], row[seq]) in seen:
            raise UserError(f"{where(k)}, seq: {row[seq]!r}; boot {row[boot]!r} has it already, each once is right")
        seen.add((row[boot], row[seq]))


def phases_of(rows: Iterable[Sequence[Any]]) -> list[Mapping[str, Any]]:
    """Phases as the board named them each second, with the target it had when each began."""
    at, phase, target = (READING_COLUMNS.index(name) for name in ("at_s", "phase", "target_c"))
    found: list[Mapping[str, Any]] = []
    for row in rows:
        if row[phase] and (not found or found[-1]["phase"] != row[phase]):
            target_c = None if row[phase] == "bank" else row[target]
            found.append({"at_s": row[at], "phase": row[phase], "target_c": target_c})
    return found


# ---- json


def _from_json(text: str, file_name: str) -> tuple[list[tuple[Any, ...]], Row, dict[str, list[Mapping[str, Any]]]]:
    whole = _object(text, file_name)
    if whole.get("reading_columns") != list(READING_COLUMNS):
        raise UserError(f"{file_name}, reading_columns: not those of this release; export it with this release")
    rows = [_json_reading(row, f"{file_name}: reading {k}") for k, row in enumerate(whole.get("readings") or [], 1)]
    _check_order(rows, lambda k: f"{file_name}: reading {k + 1}")
    return rows, _json_cook(whole["cook"], rows, file_name), _json_parts(whole, file_name)


def _object(text: str, file_name: str) -> Row:
    try:
        whole = json.loads(text)
    except RecursionError:
        raise UserError(f"{file_name}: {NESTED}") from None
    except ValueError as error:
        raise UserError(f"{file_name}: {error}; a json written by `emberdraft export` would be right") from None
    if not isinstance(whole, dict) or not isinstance(whole.get("cook"), dict):
        raise UserError(f"{file_name}: no cook in it; a json written by `emberdraft export` would be right")
    if any(too_deep(value) for name, value in whole.items() if name != "readings"):
        raise UserError(f"{file_name}: {NESTED}")
    return whole


def _from_rest(
    text: str, rows: Sequence[Sequence[Any]], file_name: str
) -> tuple[Row, dict[str, list[Mapping[str, Any]]]]:
    """What stands in a csv's companion; one of another cook is refused."""
    whole = _object(text, file_name)
    cook, at = _json_cook(whole["cook"], rows, file_name), READING_COLUMNS.index("at_s")
    own = (rows[0][READING_COLUMNS.index("cooker")], cook["start_s"] <= rows[0][at], rows[-1][at] <= cook["end_s"])
    if own != (cook["cooker"], True, True):
        raise UserError(f"{file_name}: cook {cook['name']!r}: not that of the readings; the one written beside the csv")
    return cook, _json_parts(whole, file_name)


def _json_reading(row: Any, where: str) -> tuple[Any, ...]:
    if not isinstance(row, list) or len(row) != len(READING_COLUMNS):
        raise UserError(f"{where}: {_shown(row)}; a list of {len(READING_COLUMNS)} values would be right")
    return tuple(_checked(name, value, where) for name, value in zip(READING_COLUMNS, row, strict=True))


def _json_cook(cook: Row, rows: Sequence[Sequence[Any]], file_name: str) -> Row:
    for name, kind, right in (
        ("cooker", str, "a text"),
        ("name", str, "a text"),
        ("start_s", (int, float), "a number"),
    ):
        if not isinstance(cook.get(name), kind) or isinstance(cook.get(name), bool):
            raise UserError(f"{file_name}: cook, {name}: {cook.get(name)!r}; {right} would be right")
    end_s = cook.get("end_s")
    if end_s is None and rows:
        end_s = rows[-1][READING_COLUMNS.index("at_s")]
    keep = {key: cook[key] for key in ("cooker", "name", "start_s")}
    return {**keep, "end_s": end_s, "how": cook.get("how") or HOW, "invented": int(bool(cook.get("invented"))),
            "note": str(cook.get("note") or "")}  # fmt: skip


def _json_parts(whole: Row, file_name: str) -> dict[str, list[Mapping[str, Any]]]:
    parts: dict[str, list[Mapping[str, Any]]] = {}
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
