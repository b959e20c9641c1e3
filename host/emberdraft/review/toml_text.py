"""A plan's tables written as TOML: plain values first, then tables, then lists of tables, in the order of a cook."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from emberdraft import phases

FIRST = ("version", "name", "invented", "note")
TABLES = (*phases.TABLES, "piece", "gains", "stand_in")


def toml_text(plan: dict[str, Any]) -> str:
    """The text of a plan from its tables; tomllib reads the same tables from it."""
    plain = [key for key in (*FIRST, *(k for k in plan if k not in FIRST)) if key in plan and key not in TABLES]
    lines = [f"{key} = {_value(plan[key])}" for key in plain]
    for name in TABLES:
        if name in plan:
            lines += _table(name, plan[name])
    return "\n".join(lines) + "\n"


def _table(name: str, content: Any) -> Iterator[str]:
    if isinstance(content, list):
        for one in content:
            yield from ("", f"[[{name}]]", *_inside(name, one))
    else:
        yield from ("", f"[{name}]", *_inside(name, content))


def _inside(name: str, table: dict[str, Any]) -> Iterator[str]:
    deeper = {key: value for key, value in table.items() if _is_tables(value)}
    yield from (f"{key} = {_value(value)}" for key, value in table.items() if key not in deeper)
    for key, value in deeper.items():
        yield from _table(f"{name}.{key}", value)


def _is_tables(value: Any) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and bool(value) and isinstance(value[0], dict))


def _value(value: Any) -> str:
    """A basic string of TOML is written like one of JSON, but for the delete character, which must be escaped."""
    if isinstance(value, list):
        return "[" + ", ".join(_value(one) for one in value) + "]"
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def celsius_text(value_c: float) -> str:
    """'57.5C'."""
    return f"{round(value_c, 1):g}C"


def share_text(opening: float) -> str:
    """'25 %'."""
    return f"{100.0 * opening:.0f} %"


def span_text(span_s: float) -> str:
    """Whole minutes from ten minutes on, else seconds."""
    if span_s < 600.0:
        return f"{span_s:.0f} s"
    hours, minutes = divmod(round(span_s / 60.0), 60)
    return f"{hours}h{minutes}min" if hours else f"{minutes} min"
