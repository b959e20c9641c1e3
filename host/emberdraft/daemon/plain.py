"""The state as plain facts for other people's tools: one name, one value, one unit; what is old or missing is None."""

from __future__ import annotations

from typing import Any, NamedTuple

Row = dict[str, Any]


class Fact(NamedTuple):
    """`kind`: c (degC), share (0..1), bool, word, count. `value` is None while it is not known."""

    key: str
    label: str
    kind: str
    value: float | bool | str | None


# What every cooker has, so that a tool sees the same names all day; pieces and a damper come when they are there.
ALWAYS = (("pit", "Pit", "c"), ("stone", "Stone", "c"), ("blower", "Blower", "share"))


def facts(now: Row) -> list[Fact]:
    """All facts of the service's state (docs/reference/http.md, GET /api/now). A silent board's values are None."""
    heard = now["link"]["state"] == "online"
    rows = {row["key"]: row for row in now["ledger"]}
    found = [Fact(key, label, kind, _value(rows.get(key), heard)) for key, label, kind in ALWAYS]
    usual = {key for key, _, _ in ALWAYS}
    found += [
        Fact(key.replace("_", "-"), row["label"], row["unit"], _value(row, heard))
        for key, row in rows.items()
        if key not in usual
    ]
    return [
        *found,
        Fact("target", "Wanted", "c", now["number"]["wanted_c"] if heard else None),
        Fact("lid-open", "Lid open", "bool", bool(now["lid_open"]) if heard else None),
        Fact("heard", "Board heard", "bool", heard),
        Fact("cooking", "A cook is running", "bool", now["cook"] is not None),
        Fact("mode", "Mode", "word", (now["mode"] or "off") if heard else None),
        Fact("phase", "Phase", "word", now["phase"]["name"] if now["phase"] else "none"),
        Fact("alarms", "Alarms", "count", float(len(now["alarms"]))),
    ]


def _value(row: Row | None, heard: bool) -> float | None:
    return None if row is None or not heard or row["value"] is None else float(row["value"])
