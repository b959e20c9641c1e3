"""As much of JSON Schema 2020-12 as wire.schema.json uses; a keyword it does not know is an error."""

from __future__ import annotations

from typing import Any

TYPES: dict[str, Any] = {
    "object": dict,
    "array": list,
    "string": str,
    "boolean": bool,
    "null": type(None),
}
KNOWN = {
    "$ref", "type", "enum", "minimum", "maximum", "minLength", "maxLength", "maxItems", "items",
    "properties", "required", "additionalProperties",
}  # fmt: skip


def is_type(value: Any, name: str) -> bool:
    if name in ("number", "integer"):
        number = isinstance(value, (int, float)) and not isinstance(value, bool)
        return number and (name == "number" or value == int(value))
    return isinstance(value, TYPES[name])


def troubles(value: Any, schema: dict[str, Any], defs: dict[str, Any], where: str = "$") -> list[str]:
    """All places where the value breaks the schema; none is right."""
    unknown = set(schema) - KNOWN
    assert not unknown, f"the checker does not know {unknown}"
    if "$ref" in schema:
        return troubles(value, defs[schema["$ref"].removeprefix("#/$defs/")], defs, where)
    names = schema.get("type", [])
    names = [names] if isinstance(names, str) else names
    if names and not any(is_type(value, name) for name in names):
        return [f"{where}: {value!r} is not {names}"]
    out = [f"{where}: {value!r} not in {schema['enum']}"] if "enum" in schema and value not in schema["enum"] else []
    return out + _bounds(value, schema, where) + _inside(value, schema, defs, where)


def _bounds(value: Any, schema: dict[str, Any], where: str) -> list[str]:
    size = len(value) if isinstance(value, (str, list)) else None
    number = value if is_type(value, "number") else None
    checks = (
        ("minimum", number is None or number >= schema.get("minimum", number)),
        ("maximum", number is None or number <= schema.get("maximum", number)),
        ("minLength", size is None or size >= schema.get("minLength", 0)),
        ("maxLength", size is None or size <= schema.get("maxLength", size)),
        ("maxItems", size is None or size <= schema.get("maxItems", size)),
    )
    return [f"{where}: {value!r} breaks {name}" for name, good in checks if not good]


def _inside(value: Any, schema: dict[str, Any], defs: dict[str, Any], where: str) -> list[str]:
    out: list[str] = []
    if isinstance(value, list) and "items" in schema:
        for place, entry in enumerate(value):
            out += troubles(entry, schema["items"], defs, f"{where}[{place}]")
    if isinstance(value, dict):
        out += [f"{where}: {name} is missing" for name in schema.get("required", []) if name not in value]
        more = schema.get("additionalProperties", True)
        for name, entry in value.items():
            inner = schema.get("properties", {}).get(name, more)
            if inner is False:
                out.append(f"{where}: {name} is not known")
            elif inner is not True:
                out += troubles(entry, inner, defs, f"{where}.{name}")
    return out
