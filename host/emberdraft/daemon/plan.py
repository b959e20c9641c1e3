"""Plans: a TOML file says what a cook should do. The file is the truth; the store keeps its text with each cook."""

from __future__ import annotations

import re
import tomllib
from difflib import get_close_matches
from pathlib import Path
from types import UnionType
from typing import Any, get_args, get_type_hints

import msgspec

from emberdraft.daemon.plan_form import READERS, VERSION, PlanForm, Table
from emberdraft.daemon.plan_rules import first_fault, phases_of
from emberdraft.errors import UserError

__all__ = ["VERSION", "Plan", "example_names", "example_text", "load_plan", "parse_plan", "phases_of"]

LARGEST_BYTES = 200_000
_EXAMPLES = Path(__file__).parents[1] / "plans"
_PATH = re.compile(r"^(?P<text>.*) - at `\$(?P<path>[^`]*)`$", re.DOTALL)
_STEP = re.compile(r"\.([A-Za-z_]+)|\[(\d+)\]")
_FIELD = re.compile(r"`([^`]*)`")
_KINDS = {
    "str": "text in quotes",
    "int": "a whole number",
    "bool": "true or false",
    "float": "a number",
    "array": "a list",
    "object": "a table",
    "null": "nothing",
}


class Plan(PlanForm, frozen=True, kw_only=True):
    """A checked plan with the text that it was read from."""

    text: str = ""

    @property
    def phases(self) -> list[str]:
        """The phases that this plan goes through, in order."""
        return phases_of(self)


def load_plan(path: str | Path) -> Plan:
    """The plan in a file, or the packaged example of that name ('two_chops')."""
    file = Path(path)
    if not file.suffix and str(path) in example_names() and not file.exists():
        return parse_plan(example_text(str(path)), where=f"plan {path}")
    try:
        if file.stat().st_size > LARGEST_BYTES:
            raise UserError(f"plan {file}: larger than {LARGEST_BYTES} bytes; a plan is a page of text")
        text = file.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise UserError(f"plan {file}: not UTF-8 text; save it as UTF-8") from None
    except (OSError, ValueError) as error:
        known = ", ".join(example_names())
        reason = getattr(error, "strerror", None) or str(error)
        raise UserError(f"plan {file}: {reason}; give a TOML file, or an example: {known}") from None
    return parse_plan(text, where=f"plan {file}")


def example_names() -> list[str]:
    """The packaged example plans."""
    return sorted(file.stem for file in _EXAMPLES.glob("*.toml"))


def example_text(name: str) -> str:
    """The text of a packaged example plan."""
    return (_EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")


def parse_plan(text: str, where: str = "plan") -> Plan:
    """A plan from its text; whatever is wrong ends in one line with the place, the value and what would be right."""
    raw = _toml(text, where)
    version = raw.get("version")
    if version != VERSION:
        right = "add" if version is None else f"this program reads version {VERSION}; write"
        raise UserError(f"{where}: version {_short(version)}: {right} version = {VERSION} at the top")
    try:
        form = msgspec.convert(raw, PlanForm, dec_hook=_read_quantity)
    except msgspec.ValidationError as error:
        raise UserError(f"{where}: {_explain(str(error), raw)}") from None
    fault = first_fault(form)
    if fault is not None:
        place, value, right = fault
        raise UserError(f"{where}: {place} {_short(value)}: {right}")
    values = {name: getattr(form, name) for name in PlanForm.__struct_fields__}
    return Plan(**values, text=text)


def _toml(text: str, where: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise UserError(f"{where}: lists or tables too deep; a plan has two levels") from None
    except ValueError as error:
        raise UserError(f"{where}: not TOML: {_one_line(str(error))}") from None


def _read_quantity(kind: type, value: object) -> object:
    reader = READERS.get(kind)
    if reader is None:
        raise ValueError(f"{value!r}: not a {kind.__name__}")
    try:
        return kind(reader(value))
    except UserError as error:
        raise ValueError(str(error)) from None


def _explain(message: str, raw: dict[str, Any]) -> str:
    """msgspec's sentence, said in the words of the file."""
    match = _PATH.match(message)
    text, path = (match.group("text"), match.group("path")) if match else (message, "")
    steps: list[str | int] = [int(i) if i else name for name, i in _STEP.findall(path)]
    place = _place(steps)
    named = _FIELD.findall(text)
    if "unknown field" in text:
        return f"{place}unknown key {named[0]!r}{_suggestion(named[0], steps)}"
    if "missing required field" in text:
        return f"{place}{named[0]} is missing; add it"
    if text.startswith("Expected"):
        wanted = " or ".join(_KINDS.get(kind, kind) for kind in named[0].split(" | ") if kind != "null")
        return f"{place}{_short(_value_at(raw, steps))}: {wanted} would be right"
    if text.startswith("Invalid enum value"):
        value = _value_at(raw, steps)
        return f"{place}{_short(value)}: {_one_of(str(value), _choices(steps))}"
    return f"{place}{_one_line(text)}"


def _place(steps: list[str | int]) -> str:
    """'[slow] target ' or '[piece 2] pull ': where in the file."""
    if not steps:
        return ""
    tables = [str(step) for step in steps]
    if len(steps) > 1 and isinstance(steps[-1], str) and not isinstance(steps[0], int):
        return f"[{_join(steps[:-1])}] {tables[-1]} "
    return f"{tables[0]} " if len(steps) == 1 and tables[0] in _keys(PlanForm, scalar=True) else f"[{_join(steps)}] "


def _join(steps: list[str | int]) -> str:
    out = ""
    for step in steps:
        out += f" {step + 1}" if isinstance(step, int) else (f".{step}" if out else step)
    return out


def _suggestion(key: str, steps: list[str | int]) -> str:
    table = _table_at(steps)
    known = _keys(table)
    near = get_close_matches(key, known, 1, 0.5)
    if near:
        return f"; perhaps {near[0]!r}"
    return f"; known here: {', '.join(known)}"


def _keys(table: type[Table], scalar: bool = False) -> list[str]:
    keys = {f.encode_name: f.type for f in msgspec.structs.fields(table)}
    return [key for key, kind in keys.items() if not scalar or _inner_table(kind) is None]


def _table_at(steps: list[str | int]) -> type[Table]:
    table: type[Table] = PlanForm
    for step in steps:
        kinds = {f.encode_name: f.type for f in msgspec.structs.fields(table)}
        table = (_inner_table(kinds[step]) if isinstance(step, str) and step in kinds else None) or table
    return table


def _inner_table(kind: Any) -> type[Table] | None:
    """The table type inside `X`, `X | None` or `list[X]`."""
    if isinstance(kind, type) and not get_args(kind) and issubclass(kind, Table):
        return kind
    inner = (_inner_table(part) for part in get_args(kind) if isinstance(part, (type, UnionType)))
    return next((found for found in inner if found is not None), None)


def _choices(steps: list[str | int]) -> list[str]:
    table = _table_at(steps[:-1])
    names = {f.encode_name: f.name for f in msgspec.structs.fields(table)}
    kind = get_type_hints(table).get(names.get(str(steps[-1]), ""))
    return [str(choice) for choice in get_args(kind)]


def _one_of(value: str, choices: list[str]) -> str:
    near = get_close_matches(value, choices, 1, 0.5)
    return f"perhaps {near[0]!r}" if near else f"one of {', '.join(choices)} would be right"


def _value_at(raw: Any, steps: list[str | int]) -> Any:
    for step in steps:
        try:
            raw = raw[step]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


def _short(value: object) -> str:
    try:
        text = _one_line(repr(value))
    except (ValueError, RecursionError):
        return "a value too large to print"
    return text if len(text) <= 60 else text[:57] + "..."


def _one_line(text: str) -> str:
    return " ".join(text.split())
